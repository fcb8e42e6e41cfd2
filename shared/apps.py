from django.apps import AppConfig
from django.db.models.signals import post_migrate


class SharedConfig(AppConfig):
    name = "shared"

    def ready(self) -> None:
        from shared import checks  # noqa: F401  # registers the checks of the settings
        from shared.roles import fill_groups

        post_migrate.connect(fill_groups, sender=self, dispatch_uid="fill groups")
