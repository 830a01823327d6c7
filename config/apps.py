from django.apps import AppConfig


class ConfigConfig(AppConfig):
    name = "config"

    def ready(self):
        from config import checks  # noqa: F401
