from django.apps import AppConfig


class WarrantiesConfig(AppConfig):
    name = "warranties"

    def ready(self) -> None:
        from warranties import receivers, story  # noqa: F401  # the story's sources register themselves

        receivers.connect()
