from django.apps import AppConfig
from django.db.models.signals import post_migrate


class SharedConfig(AppConfig):
    name = "shared"

    def ready(self) -> None:
        # They register themselves: our Celery application, the checks of the settings.
        from shared import celery, checks  # noqa: F401
        from shared.roles import fill_groups

        post_migrate.connect(fill_groups, sender=self, dispatch_uid="fill groups")
