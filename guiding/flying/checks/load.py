"""Load, line and link against what the craft and the reel can bear."""

from __future__ import annotations

from guiding.flying.checks.findings import Asked, Finding, Verdict
from guiding.flying.line_pull import flight_line_pull_n, spare_pull_n, weak_link_window
from guiding.flying.rigs import PartKind, rig_payload_g
from guiding.flying.spool import spool_need_m, spool_reach_m
from guiding.flying.strength import as_sold

# A little more is a wet bait; beyond this the plan was made for another rig.
_PAYLOAD_MISMATCH_G = 20.0


def _load(asked: Asked) -> Finding:
    plan = asked.plan
    rig_g, limit_g = rig_payload_g(plan.rig), plan.craft.load_limit_g()
    load_g = asked.flight.payload_g
    verdict, fix = Verdict.GO, ""
    if load_g > limit_g:
        verdict, fix = Verdict.STOP, f"Take {load_g - limit_g:.0f} g off the rig or the bait."
    elif rig_g > plan.flight.payload_g + _PAYLOAD_MISMATCH_G:
        verdict, fix = Verdict.CAUTION, f"Plan the flight with {rig_g:.0f} g."
    sentence = (
        f"Rig and bait weigh {rig_g:.0f} g, the flight is planned with "
        f"{plan.flight.payload_g:.0f} g, and the maker allows {limit_g:.0f} g."
    )
    return Finding("load", verdict, sentence, fix, load_g, limit_g, "g")


def _pull(asked: Asked) -> Finding:
    plan = asked.plan
    pull_n = flight_line_pull_n(asked.flight, asked.defaults)
    spare_n = spare_pull_n(plan.craft, asked.flight.payload_g, asked.defaults)
    verdict, fix = Verdict.GO, ""
    if pull_n >= spare_n:
        verdict, fix = Verdict.STOP, "Lighten the load, fly a thinner line, or wait."
    elif pull_n > spare_n / asked.defaults.link_safety_factor:
        verdict, fix = Verdict.CAUTION, "Fly a thinner line, or wait for less wind."
    sentence = (
        f"The line pulls {pull_n:.1f} N in this wind, and with its load the craft has "
        f"{spare_n:.1f} N to spare. Spool friction comes on top: measure it."
    )
    return Finding("line pull", verdict, sentence, fix, pull_n, spare_n, "N")


def _weak_link(asked: Asked) -> Finding:
    plan = asked.plan
    window = weak_link_window(plan.craft, asked.flight, plan.line.strength_n, asked.defaults)
    links = plan.rig.of(PartKind.WEAK_LINK)
    link_n = min((part.strength_n or 0.0 for part in links), default=None)
    if not window.is_open:
        return Finding(
            "weak link",
            Verdict.STOP,
            window.sentence(),
            " ".join(window.fixes),
            window.low_n,
            window.high_n,
            "N",
        )
    fix = (
        f"Tie one of {window.low_n:.1f} to {window.high_n:.1f} N "
        f"({window.low_kgf:.1f} to {window.high_kgf:.1f} kgf)."
    )
    if link_n is None:
        sentence = f"The rig has no weak link. {window.sentence()}"
        return Finding("weak link", Verdict.STOP, sentence, fix, None, window.high_n, "N")
    sentence = f"The weak link holds {as_sold(link_n)}. {window.sentence()}"
    fits = window.admits(link_n)
    limit_n = window.low_n if link_n < window.low_n else window.high_n
    return Finding(
        "weak link",
        Verdict.GO if fits else Verdict.STOP,
        sentence,
        "" if fits else fix,
        link_n,
        limit_n,
        "N",
    )


def _spool(asked: Asked) -> Finding:
    plan = asked.plan
    need_m = spool_need_m(plan.flight.distance_m, plan.flight.height_m, asked.defaults)
    have_m = plan.line.spooled_m
    fix = ""
    if have_m < need_m:
        reach_m = spool_reach_m(have_m, plan.flight.height_m, asked.defaults)
        nearer = f"drop at {reach_m:.0f} m or nearer" if reach_m >= 1 else "cast"
        fix = f"Respool the reel, or {nearer}."
    return Finding(
        "spool",
        Verdict.STOP if fix else Verdict.GO,
        f"The reel holds {have_m:.0f} m of line and the drop needs {need_m:.0f} m.",
        fix,
        have_m,
        need_m,
        "m",
    )


def _free_spool(asked: Asked) -> Finding:
    if asked.plan.line.free_spool:
        return Finding("free spool", Verdict.GO, "The reel is in free spool, clicker on.")
    return Finding(
        "free spool",
        Verdict.STOP,
        "The reel is locked: a line that stops running stops the craft.",
        "Set the reel to free spool with the clicker on before take-off.",
    )


CHECKS = (_load, _pull, _weak_link, _spool, _free_spool)
