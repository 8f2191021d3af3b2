"""What was forecast for a spot: every issue is kept, none is ever written over."""

from __future__ import annotations

from django.conf import settings
from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q

from guiding.core.row import Row
from guiding.days.models.spot import Spot


class Forecast(Row):
    """One issue of a forecast. A better one is a new row; `digest` tells the same one again."""

    class Kind(models.TextChoices):
        TYPED = "typed", "typed in"
        FILE = "file", "from a file"
        SERVICE = "service", "from a service"

    spot = models.ForeignKey(Spot, on_delete=models.PROTECT, related_name="forecasts")
    kind = models.CharField(max_length=7, choices=Kind)
    source = models.CharField("where it comes from", max_length=200)
    issued_at = models.DateTimeField("issued")
    entered_at = models.DateTimeField("entered")
    entered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, blank=True, related_name="+"
    )
    attribution = models.CharField(max_length=300, blank=True)
    first_at = models.DateTimeField("speaks from")
    last_at = models.DateTimeField("speaks to")
    digest = models.CharField(max_length=64, editable=False)

    class Meta:
        ordering = ["-issued_at", "-entered_at", "-pk"]
        indexes = [models.Index(fields=["spot", "last_at"], name="forecast_of_spot")]
        constraints = [
            models.UniqueConstraint(fields=["spot", "digest"], name="forecast_kept_once"),
            models.CheckConstraint(
                condition=Q(kind__in=["typed", "file", "service"]), name="forecast_kind_known"
            ),
            models.CheckConstraint(
                condition=Q(last_at__gte=F("first_at")), name="forecast_ends_after_it_begins"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.source}, {self.issued_at:%Y-%m-%d %H:%M} UTC, {self.spot}"


def _figure(label: str, low: float, high: float) -> models.FloatField[float | None, float | None]:
    """A figure that may be unknown."""
    return models.FloatField(
        label,
        null=True,
        blank=True,
        validators=[MinValueValidator(low), MaxValueValidator(high)],
    )


class ForecastHour(Row):
    """The figures from an instant until the next reading; what is not forecast stays empty.

    Rain is what falls in the hour that begins at `at`.
    """

    forecast = models.ForeignKey(Forecast, on_delete=models.CASCADE, related_name="hours")
    at = models.DateTimeField()
    wind_ms = _figure("mean wind", 0, 90)
    gust_ms = _figure("gusts", 0, 120)
    wind_from_deg = _figure("wind from", 0, 360)
    wave_m = _figure("waves", 0, 30)
    period_s = _figure("wave period", 0, 40)
    wave_from_deg = _figure("waves from", 0, 360)
    rain_mm = _figure("rain in the hour", 0, 300)
    air_c = _figure("air", -60, 60)
    water_c = _figure("water", -5, 45)
    thunder = models.BooleanField(null=True, blank=True)

    class Meta:
        ordering = ["forecast", "at"]
        constraints = [
            models.UniqueConstraint(fields=["forecast", "at"], name="forecast_hour_once"),
            models.CheckConstraint(
                condition=(Q(wind_ms=None) | Q(wind_ms__gte=0, wind_ms__lte=90))
                & (Q(gust_ms=None) | Q(gust_ms__gte=0, gust_ms__lte=120))
                & (Q(wind_from_deg=None) | Q(wind_from_deg__gte=0, wind_from_deg__lte=360))
                & (Q(wave_m=None) | Q(wave_m__gte=0, wave_m__lte=30))
                & (Q(period_s=None) | Q(period_s__gte=0, period_s__lte=40))
                & (Q(rain_mm=None) | Q(rain_mm__gte=0, rain_mm__lte=300)),
                name="forecast_figures_in_range",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} UTC"


class ForecastFetch(Row):
    """One question to a service and how it ended. `not_before` is when it may be asked again."""

    class Part(models.TextChoices):
        WEATHER = "weather", "weather"
        SEA = "sea", "sea"

    spot = models.ForeignKey(Spot, on_delete=models.CASCADE, related_name="forecast_fetches")
    part = models.CharField(max_length=7, choices=Part)
    at = models.DateTimeField()
    ok = models.BooleanField()
    message = models.CharField(max_length=300)
    not_before = models.DateTimeField()
    # What the service wants to hear again, so that it need not send the same twice.
    etag = models.CharField(max_length=200, blank=True)
    last_modified = models.CharField(max_length=60, blank=True)
    forecast = models.ForeignKey(
        Forecast, on_delete=models.SET_NULL, null=True, blank=True, related_name="fetches"
    )

    class Meta:
        verbose_name_plural = "forecast fetches"
        ordering = ["-at", "-pk"]
        indexes = [models.Index(fields=["spot", "part", "-at"], name="fetch_newest_of_spot")]
        constraints = [
            models.CheckConstraint(
                condition=Q(part__in=["weather", "sea"]), name="fetch_part_known"
            ),
            models.CheckConstraint(condition=~Q(message=""), name="fetch_says_how_it_ended"),
        ]

    def __str__(self) -> str:
        return f"{self.spot}, {self.part}, {self.at:%Y-%m-%d %H:%M} UTC: {self.message}"
