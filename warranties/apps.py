from django.apps import AppConfig


class WarrantiesConfig(AppConfig):
    name = "warranties"

    def ready(self) -> None:
        from warranties import receivers

        receivers.connect()
