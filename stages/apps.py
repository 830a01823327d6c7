from django.apps import AppConfig


class StagesConfig(AppConfig):
    name = "stages"
    verbose_name = "Stages: how a board gets made"
