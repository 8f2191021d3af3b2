"""The app's registration."""

from django.apps import AppConfig


class DaysConfig(AppConfig):
    name = "guiding.days"
    label = "days"
