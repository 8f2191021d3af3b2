"""Repair only: the rows as they lie, for the owner. Daily work happens on the desk's own pages."""

from __future__ import annotations

from typing import Any

from django.apps import apps
from django.contrib import admin
from django.db import models
from django.http import HttpRequest

_HOUSES = ("bookings", "equipment", "days", "safety")


class RepairAdmin(admin.ModelAdmin):
    """Lists without counting all rows, and fields that point at rows without listing them all."""

    show_full_result_count = False
    list_per_page = 50

    def __init__(self, model: type[models.Model], site: admin.AdminSite) -> None:
        self.raw_id_fields = [  # type: ignore[misc]
            field.name
            for field in model._meta.get_fields()
            if field.many_to_one and isinstance(field, models.ForeignKey)
        ]
        super().__init__(model, site)

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        """Nothing is deleted here: what was signed, paid or logged is taken out by another row."""
        return False


for _house in _HOUSES:
    for _model in apps.get_app_config(_house).get_models():
        # The history keeps itself.
        if not _model.__name__.startswith("Historical"):
            admin.site.register(_model, RepairAdmin)
