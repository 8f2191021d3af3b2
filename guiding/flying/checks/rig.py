"""The rig against its own order and the law's limits on hooks."""

from __future__ import annotations

from guiding.flying.checks.findings import Asked, Finding, Verdict
from guiding.flying.defaults import HOUSE, FlyingDefaults
from guiding.flying.permission import CHECK
from guiding.flying.rigs import PartKind, Rig, least_dropper_spacing_m, strength_faults


def check_rig(
    rig: Rig,
    main_strength_n: float,
    hook_limit: int | None = None,
    hook_inside_limit_mm: float | None = None,
    defaults: FlyingDefaults = HOUSE,
) -> tuple[Finding, ...]:
    """The rig by itself, flown or cast: order of strength, droppers, hooks against the law.

    main_strength_n: strength of the main line without a knot, above 0..10000 N; hook_limit and
    hook_inside_limit_mm: the law of the place, None where it has not been entered. ValueError
    outside.
    """
    return (
        _order(rig, main_strength_n),
        _spacing(rig, defaults),
        _hooks(rig, hook_limit),
        _hook_width(rig, hook_inside_limit_mm),
    )


def _asked_order(asked: Asked) -> Finding:
    return _order(asked.plan.rig, asked.plan.line.strength_n)


def _asked_spacing(asked: Asked) -> Finding:
    return _spacing(asked.plan.rig, asked.defaults)


def _asked_hooks(asked: Asked) -> Finding:
    return _hooks(asked.plan.rig, asked.plan.hook_limit)


def _asked_hook_width(asked: Asked) -> Finding:
    return _hook_width(asked.plan.rig, asked.plan.hook_inside_limit_mm)


def _order(rig: Rig, main_strength_n: float) -> Finding:
    faults = strength_faults(rig, main_strength_n)
    if faults:
        return Finding(
            "strength order",
            Verdict.STOP,
            " ".join(faults),
            "Retie the rig: weak link, sinker link, dropper, trace, main line, rising.",
        )
    return Finding(
        "strength order", Verdict.GO, "Each part is stronger than the one that must part first."
    )


def _spacing(rig: Rig, defaults: FlyingDefaults) -> Finding:
    least_m = least_dropper_spacing_m(rig, defaults)
    if not least_m:
        return Finding("dropper spacing", Verdict.GO, "Fewer than two droppers: none can meet.")
    spacing_m = rig.dropper_spacing_m
    meets = spacing_m <= least_m
    return Finding(
        "dropper spacing",
        Verdict.STOP if meets else Verdict.GO,
        f"Droppers are {spacing_m:.2f} m apart and must be more than {least_m:.2f} m apart.",
        "Shorten the droppers or set them wider, so that hooks cannot meet." if meets else "",
        spacing_m,
        least_m,
        "m",
    )


def _hooks(rig: Rig, limit: int | None) -> Finding:
    hooks = rig.count(PartKind.HOOK)
    if limit is None:
        return Finding(
            "hooks",
            Verdict.CAUTION,
            f"The rig has {hooks} hook{'s' * (hooks != 1)}, and no legal number is entered for "
            "this place.",
            f"Enter the number that the place allows. {CHECK}",
            hooks,
        )
    over = hooks > limit
    return Finding(
        "hooks",
        Verdict.STOP if over else Verdict.GO,
        f"The rig has {hooks} hook{'s' * (hooks != 1)} and the place allows {limit}.",
        f"Take off {hooks - limit}. {CHECK}" if over else "",
        hooks,
        limit,
        "hooks",
    )


def _hook_width(rig: Rig, limit_mm: float | None) -> Finding:
    if limit_mm is None:
        return Finding("hook width", Verdict.GO, "No limit on hook width is entered here.")
    widths = [part.inside_mm for part in rig.of(PartKind.HOOK)]
    known = [width for width in widths if width is not None]
    if len(known) < len(widths):
        return Finding(
            "hook width",
            Verdict.STOP,
            f"The place limits hooks to {limit_mm:g} mm inside, and this hook is not measured.",
            f"Measure the hook inside, point to shank, and enter it. {CHECK}",
            None,
            limit_mm,
            "mm",
        )
    widest_mm = max(known)
    over = widest_mm >= limit_mm
    return Finding(
        "hook width",
        Verdict.STOP if over else Verdict.GO,
        f"The widest hook is {widest_mm:g} mm inside and must stay under {limit_mm:g} mm.",
        f"Take a smaller hook, or hold the permit that wider ones need. {CHECK}" if over else "",
        widest_mm,
        limit_mm,
        "mm",
    )


CHECKS = (_asked_order, _asked_spacing, _asked_hooks, _asked_hook_width)
