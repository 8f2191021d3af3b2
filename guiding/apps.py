"""The project itself as an app: it carries the base page, the form pack and the template tags."""

from django.apps import AppConfig


class GuidingConfig(AppConfig):
    name = "guiding"
    verbose_name = "Sandspike"
