"""Height, people, light and permission."""

from __future__ import annotations

from guiding.flying.checks.findings import Asked, Finding, Verdict
from guiding.flying.fall import fall_zone_radius_m, impact_energy_j, injury_height_m
from guiding.flying.height import height_over_waves_m
from guiding.flying.permission import CHECK
from guiding.flying.rigs import rig_hang_m


def _permission(asked: Asked) -> Finding:
    permission = asked.plan.permission
    if permission.may_drop:
        return Finding("permission", Verdict.GO, f"Proven by {'; '.join(permission.papers)}.")
    return Finding(
        "permission",
        Verdict.STOP,
        " ".join(permission.reasons),
        f"Plan the day as cast only, or prove the permission first. {CHECK}",
    )


def _light(asked: Asked) -> Finding:
    inside = asked.plan.in_flying_light
    if inside:
        return Finding("flying light", Verdict.GO, "The flight lies inside the flying light.")
    sentence = (
        "The flying light of this day has not been worked out."
        if inside is None
        else "The flight lies outside the flying light."
    )
    fix = f"Fly only between the hours the rules of the place allow, and cast outside. {CHECK}"
    return Finding("flying light", Verdict.STOP, sentence, fix)


def _height(asked: Asked) -> Finding:
    plan = asked.plan
    least_m = height_over_waves_m(rig_hang_m(plan.rig), plan.wave_height_m, asked.defaults)
    ceiling_m, height_m = plan.permission.height_limit_m, plan.flight.height_m
    ceiling = "none entered" if ceiling_m is None else f"{ceiling_m:.0f} m"
    sentence = (
        f"The flight is at {height_m:.1f} m; rig and waves need {least_m:.1f} m, the ceiling is "
        f"{ceiling}."
    )
    if ceiling_m is not None and max(height_m, least_m) > ceiling_m:
        fix = (
            f"Fly at {ceiling_m:.0f} m or lower. {CHECK}"
            if least_m <= ceiling_m
            else "Shorten the rig or wait for a smaller sea: there is no height that does both."
        )
        return Finding("height", Verdict.STOP, sentence, fix, height_m, ceiling_m, "m")
    if height_m < least_m:
        fix = f"Fly at {least_m:.1f} m or higher, or shorten the rig."
        return Finding("height", Verdict.STOP, sentence, fix, height_m, least_m, "m")
    if ceiling_m is None:
        fix = f"Enter the ceiling of this place. {CHECK}"
        return Finding("height", Verdict.CAUTION, sentence, fix, height_m, least_m, "m")
    return Finding("height", Verdict.GO, sentence, "", height_m, least_m, "m")


def _people(asked: Asked) -> Finding:
    plan = asked.plan
    legal_m = plan.permission.people_distance_m
    wind_ms = max(plan.flight.wind_ms, plan.gust_ms or 0.0)
    radius_m = fall_zone_radius_m(plan.flight.height_m, wind_ms, legal_m, defaults=asked.defaults)
    keep = f"Keep everybody {radius_m:.0f} m from the path and behind the rods. {CHECK}"
    if plan.people_m is None:
        sentence = f"A load may come down within {radius_m:.0f} m; nobody has looked who is near."
        return Finding("people", Verdict.CAUTION, sentence, keep, None, radius_m, "m")
    near = plan.people_m < radius_m
    return Finding(
        "people",
        Verdict.STOP if near else Verdict.GO,
        f"The nearest person is {plan.people_m:.0f} m from the path; a load may come down within "
        f"{radius_m:.0f} m.",
        f"Turn the path or wait. {keep}" if near else "",
        plan.people_m,
        radius_m,
        "m",
    )


def _fall_energy(asked: Asked) -> Finding:
    flight, limit_j = asked.flight, asked.defaults.injury_energy_j
    energy_j = impact_energy_j(flight.payload_g, flight.height_m)
    over = energy_j > limit_j
    fix = ""
    if over:
        lower_m = injury_height_m(flight.payload_g, asked.defaults)
        fix = f"Fly at {lower_m:.1f} m or lower where that clears the waves; keep the zone empty."
    return Finding(
        "fall energy",
        Verdict.CAUTION if over else Verdict.GO,
        f"The load would land with {energy_j:.0f} J; {limit_j:.0f} J is taken to injure a head, "
        "and less still hurts.",
        fix,
        energy_j,
        limit_j,
        "J",
    )


def _minors(asked: Asked) -> Finding:
    minors, adults = asked.plan.minors, asked.plan.watching_adults
    if minors and not adults:
        return Finding(
            "minors",
            Verdict.STOP,
            f"{minors} minor{'s' * (minors != 1)} and no adult but the pilot, whose eyes are on "
            "the craft.",
            "Name a second adult who watches them, or cast.",
            adults,
            1,
            "adults",
        )
    sentence = (
        f"{adults} adult{' watches' if adults == 1 else 's watch'} "
        f"{minors} minor{'s' * (minors != 1)}."
        if minors
        else "No minors in the party."
    )
    return Finding("minors", Verdict.GO, sentence)


CHECKS = (_permission, _light, _height, _people, _fall_energy, _minors)
