"""The app's registration."""

from django.apps import AppConfig


class SafetyConfig(AppConfig):
    name = "guiding.safety"
    label = "safety"
