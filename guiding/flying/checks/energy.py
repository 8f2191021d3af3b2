"""Wind, way home and packs."""

from __future__ import annotations

from guiding.flying.checks.findings import NOT_WORKED_OUT, Asked, Finding, Verdict
from guiding.flying.pack_plan import plan_packs
from guiding.flying.sortie import wind_limit_ms


def _wind(asked: Asked) -> Finding:
    plan, defaults = asked.plan, asked.defaults
    mean_ms, limit_ms = plan.flight.wind_ms, wind_limit_ms(plan.craft, defaults)
    if not plan.wind_known:
        sentence = (
            "No wind is forecast or entered for this flight; all else is reckoned in "
            f"{mean_ms:.1f} m/s."
        )
        fix = "Fetch or type in the forecast, or enter the wind, or cast."
        return Finding("wind", Verdict.STOP, sentence, fix, None, limit_ms, "m/s")
    known = plan.gust_ms is not None
    gust_ms = plan.gust_ms if plan.gust_ms is not None else mean_ms * defaults.gust_factor
    gust_limit_ms = plan.craft.wind_limit_ms * defaults.gust_share
    sentence = (
        f"Mean wind {mean_ms:.1f} of {limit_ms:.1f} m/s, gust {gust_ms:.1f} of "
        f"{gust_limit_ms:.1f} m/s" + ("." if known else " (gust reckoned from the mean).")
    )
    if mean_ms > limit_ms:
        fix = f"Wait until the mean wind is {limit_ms:.1f} m/s or less, or cast."
        return Finding("wind", Verdict.STOP, sentence, fix, mean_ms, limit_ms, "m/s")
    if gust_ms > gust_limit_ms:
        fix = f"Wait until gusts are {gust_limit_ms:.1f} m/s or less, or cast."
        return Finding("wind", Verdict.STOP, sentence, fix, gust_ms, gust_limit_ms, "m/s")
    return Finding("wind", Verdict.GO, sentence, "", mean_ms, limit_ms, "m/s")


def _way_home(asked: Asked) -> Finding:
    """The flight itself: refused as a whole, or flown home fast enough."""
    answer, least_ms = asked.answer, asked.defaults.return_speed_min_ms
    if isinstance(answer, str):
        fix = "Change the plan until this is right, or cast."
        return Finding("way home", Verdict.STOP, answer, fix, None, least_ms, "m/s")
    home_ms = answer.model.home_ms
    sentence = (
        f"The craft comes home at {home_ms:.1f} m/s over the ground, at least {least_ms:.1f} m/s "
        f"is asked; turn back at {answer.turn_back_percent} % of the pack."
    )
    return Finding("way home", Verdict.GO, sentence, "", home_ms, least_ms, "m/s")


def _charge(asked: Asked) -> Finding:
    answer = asked.answer
    if isinstance(answer, str):
        return Finding("charge", Verdict.STOP, NOT_WORKED_OUT, "See the way home.")
    defaults, pack = asked.defaults, asked.weakest
    charged = pack.charged_share * 100
    needed = max(
        defaults.reserve_share * 100 + answer.use.high_percent, float(answer.turn_back_percent)
    )
    sentence = (
        f"The weakest pack is {charged:.0f} % charged at {pack.health_share:.0%} health; one drop "
        f"and the reserve need {needed:.0f} %, {answer.use.source}."
    )
    verdict, fix = Verdict.GO, ""
    if charged < needed:
        verdict = Verdict.STOP
        fix = (
            f"Charge it to {needed:.0f} % or more."
            if needed <= 100
            else "Take a larger or healthier pack, a lighter load, or fish nearer."
        )
    elif pack.health_share < defaults.health_watch_share:
        verdict = Verdict.CAUTION
        fix = f"Plan to retire it: its health is below {defaults.health_watch_share:.0%}."
    return Finding("charge", verdict, sentence, fix, charged, needed, "%")


def _packs(asked: Asked) -> Finding:
    plan, answer = asked.plan, asked.answer
    if isinstance(answer, str):
        return Finding("packs", Verdict.STOP, NOT_WORKED_OUT, "See the way home.")
    outcome = plan_packs(plan.drops, answer.use.energy_wh, plan.packs, plan.charges, asked.defaults)
    have = outcome.owned + outcome.charges
    verdict = Verdict.GO if outcome.enough else Verdict.STOP
    fix = "" if outcome.enough else "Bring or charge more packs, plan fewer drops, or fewer rods."
    return Finding(
        "packs", verdict, outcome.sentence, fix, float(have), float(outcome.needed), "packs"
    )


CHECKS = (_wind, _way_home, _charge, _packs)
