"""The form of the figures for flying."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, NamedTuple

from crispy_forms.layout import Fieldset, Layout, Row
from django import forms

from bookings.forms.layout import PlainForm, framed
from guiding.flying.defaults import HOUSE, FlyingDefaults


class Figure(NamedTuple):
    """A figure of the form: its name, what it is, where it comes from, its unit."""

    name: str
    text: str
    mark: str
    unit: str


# In the words of the figures' own room; the marks are those of their sources.
GROUPS: dict[str, tuple[Figure, ...]] = {
    "Flight": (
        Figure("reserve_share", "part of the pack that no plan touches", "house", "0 to 1"),
        Figure(
            "out_speed_min_ms",
            "slowest ground speed out that still counts as making way",
            "house",
            "m/s",
        ),
        Figure("return_speed_min_ms", "slowest ground speed home that is accepted", "house", "m/s"),
        Figure("turn_back_factor", "energy home is counted so many times", "house", ""),
        Figure(
            "wind_energy_share",
            "extra energy in the strongest wind that may be flown",
            "house",
            "0 to 1",
        ),
        Figure(
            "mean_wind_share",
            "mean wind allowed, part of the maker's wind limit",
            "house",
            "0 to 1",
        ),
        Figure("gust_share", "gust allowed, part of the maker's wind limit", "house", "0 to 1"),
        Figure("gust_factor", "gust over mean wind where no gust is forecast", "common", "times"),
        Figure("distance_max_m", "farthest drop planned at all", "house", "m"),
        Figure("climb_ms", "climb with the load", "house", "m/s"),
        Figure("descent_ms", "descent home", "house", "m/s"),
        Figure("landing_s", "last metres and touch-down", "house", "s"),
        Figure("place_s", "hover over the spot until the clip is empty", "house", "s"),
        Figure(
            "thrust_to_weight",
            "full thrust over empty weight where the maker gives none",
            "house",
            "times",
        ),
        Figure(
            "health_watch_share",
            "health from which a pack is near retirement",
            "pub, convention",
            "0 to 1",
        ),
    ),
    "Temperature of the pack": (
        Figure("warm_c", "from here up a pack gives its full energy", "house", "°C"),
        Figure("cool_c", "middle point of the loss", "house", "°C"),
        Figure("cool_share", "energy left at that middle point", "pub, shape house", "0 to 1"),
        Figure("cold_c", "coldest point with a figure", "house", "°C"),
        Figure("cold_share", "energy left at that coldest point", "pub, shape house", "0 to 1"),
    ),
    "Charging": (
        Figure(
            "charge_share", "part of the charger's power that ends in the pack", "house", "0 to 1"
        ),
        Figure(
            "charge_c_rate",
            "charge current as a multiple of the pack's capacity",
            "common",
            "times an hour",
        ),
        Figure("cool_down_min", "rest of a flown pack before it may be charged", "house", "min"),
        Figure("spare_packs", "packs carried beyond the plan", "house", "packs"),
    ),
    "Line and weak link": (
        Figure("line_drag_coefficient", "drag of a round line across the wind", "house", ""),
        Figure("bow_share", "depth of the line's bow, part of the distance", "house", "0 to 1"),
        Figure(
            "line_wind_share", "least part of the wind taken across the line", "house", "0 to 1"
        ),
        Figure(
            "link_safety_factor",
            "between load and weak link, and between link and limit",
            "house",
            "times",
        ),
        Figure(
            "knot_share", "rule of thumb of an angling article: a knot costs 30 %", "pub", "0 to 1"
        ),
    ),
    "Spool": (
        Figure("slack_share", "line paid out beyond the straight distance", "house", "0 to 1"),
        Figure("fight_reserve_m", "line kept for a running fish", "house", "m"),
        Figure("wraps_m", "last wraps that stay on the spool", "house", "m"),
    ),
    "Height and fall": (
        Figure("wave_clearance_m", "air between the rig and the highest wave", "house", "m"),
        Figure(
            "highest_wave_factor",
            "national weather office: highest wave of a day, times Hs",
            "pub",
            "times",
        ),
        Figure("zone_margin_m", "added to the drift of a falling load", "house", "m"),
        Figure("people_distance_m", "clearance where no legal distance is entered", "house", "m"),
        Figure("injury_energy_j", "EU 2019/945 class C1, head impact", "pub", "J"),
    ),
    "Rig and trip": (
        Figure(
            "dropper_spacing_factor",
            "spacing over dropper length, so that hooks cannot meet",
            "common",
            "times",
        ),
        Figure("knot_allowance_m", "line lost in the knots of one tied piece", "house", "m"),
        Figure("rigs_per_rod", "rigs ready for each rod", "house", "rigs"),
        Figure(
            "rig_loss_share", "rigs lost per drop until the log says otherwise", "house", "0 to 1"
        ),
        Figure("rig_loss_factor", "safety on that loss", "house", "times"),
        Figure("bait_spare_share", "bait beyond the plan", "house", "0 to 1"),
        Figure(
            "pilot_share_max",
            "part of the session the pilot's eyes are off the party",
            "house",
            "0 to 1",
        ),
    ),
    "Learning from the log": (
        Figure(
            "learn_after_drops",
            "logged drops from which the log replaces the model",
            "house",
            "drops",
        ),
        Figure("learn_newest_drops", "older drops than this many are left out", "house", "drops"),
        Figure(
            "class_min_drops",
            "drops from which a class of distance and wind counts",
            "house",
            "drops",
        ),
        Figure(
            "class_pull_drops",
            "weight of the whole log against one class, in drops",
            "house",
            "drops",
        ),
        Figure(
            "other_class_weight", "what a drop of another class adds to certainty", "house", "times"
        ),
        Figure(
            "model_band_share", "band round the model before anything is learned", "house", "0 to 1"
        ),
        Figure("least_spread_share", "spread never taken below this", "house", "0 to 1"),
        Figure("distance_class_m", "borders of the distance classes", "house", "m"),
        Figure("wind_class_ms", "borders of the wind classes", "house", "m/s"),
    ),
}


class BordersField(forms.CharField):
    """Borders of classes as people write them: '150, 250, 350'."""

    def clean(self, value: Any) -> list[float]:
        text = super().clean(value)
        if not text.strip():
            return []
        try:
            return [float(part) for part in text.replace(";", ",").split(",")]
        except ValueError:
            raise forms.ValidationError(
                f"'{text}' are no borders: write them like 150, 250, 350."
            ) from None


class FlyingForm(PlainForm):
    """Every figure with the house's own beside it; an empty field takes that one back."""

    def __init__(self, *args: Any, now: FlyingDefaults, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for figure in (one for group in GROUPS.values() for one in group):
            self.fields[figure.name] = _field(figure, getattr(now, figure.name))
        self.helper = framed(
            Layout(*(Fieldset(name, *_rows(group)) for name, group in GROUPS.items())),
            "Save the figures",
        )

    def figures(self) -> dict[str, Any]:
        """What was typed, the house's figure where a field was left empty."""
        ours = asdict(HOUSE)
        found = {}
        for name, value in self.cleaned_data.items():
            typed_out = value in (None, "", []) or _written(value) == _written(ours[name])
            found[name] = ours[name] if typed_out else value
        return {
            name: tuple(value) if isinstance(value, list) else value
            for name, value in found.items()
        }


def _rows(group: tuple[Figure, ...]) -> list[Row]:
    """Three figures a row where there is room."""
    names = [one.name for one in group]
    return [Row(*names[start : start + 3]) for start in range(0, len(names), 3)]


def _field(figure: Figure, now: Any) -> forms.Field:
    ours = getattr(HOUSE, figure.name)
    label = figure.text[:1].upper() + figure.text[1:]
    if figure.unit:
        label = f"{label}, {figure.unit}"
    told = f"{_written(ours)} [{figure.mark}]"
    known: dict[str, Any] = {"label": label, "required": False, "help_text": f"House: {told}"}
    if isinstance(ours, tuple):
        return BordersField(initial=_written(now), **known)
    if isinstance(ours, int):
        return forms.IntegerField(initial=now, **known)
    return forms.FloatField(initial=float(f"{now:.4g}"), **known)


def _written(value: Any) -> str:
    if isinstance(value, tuple | list):
        return ", ".join(f"{one:g}" for one in value)
    return f"{value:.4g}"
