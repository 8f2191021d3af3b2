"""The app's registration."""

from django.apps import AppConfig


class BookingsConfig(AppConfig):
    name = "bookings"
