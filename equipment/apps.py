"""The app's registration."""

from django.apps import AppConfig


class EquipmentConfig(AppConfig):
    name = "equipment"
