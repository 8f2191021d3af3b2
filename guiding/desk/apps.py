"""The app's registration."""

from django.apps import AppConfig


class DeskConfig(AppConfig):
    name = "guiding.desk"
    label = "desk"
