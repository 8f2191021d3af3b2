"""A cost sheet as plain values: for the command, and frozen beside a quote."""

from __future__ import annotations

from typing import Any

from guiding.costing.break_even import BreakEven
from guiding.days.sheets.cost import TripCost


def cost_facts(cost: TripCost) -> dict[str, Any]:
    """The sheet in plain values; every sum of money is a text with its decimals."""
    sheet, per_head = cost.sheet, cost.per_head
    return {
        "currency": cost.currency,
        "lines": [
            {
                "driver": line.driver.value,
                "label": line.label,
                "quantity": str(line.quantity),
                "unit": line.unit,
                "rate": None if line.rate is None else str(line.rate),
                "basis": line.basis,
                "amount": str(line.amount),
            }
            for line in (*sheet.lines, *sheet.head_lines)
        ],
        "trip_direct": str(sheet.trip_direct),
        "guide_time": str(sheet.guide_time),
        "overhead": str(sheet.overhead),
        "before_heads": str(sheet.before_heads),
        "price_per_head": str(per_head.price_per_head) if per_head else None,
        "cost_per_head": str(sheet.per_head),
        "fee_per_head": str(per_head.fee_per_head) if per_head else None,
        "contribution_per_head": str(per_head.contribution_per_head) if per_head else None,
        "break_even": {
            "paying_yourself": _point(per_head.paying_yourself),
            "cash_only": _point(per_head.cash_only),
        }
        if per_head
        else None,
        "parties": [
            {
                "heads": row.heads,
                "income": str(row.income),
                "after_all_costs": str(row.after_all_costs),
                "margin_share": None if row.margin_share is None else str(row.margin_share),
                "earned_per_guide_hour": None
                if row.earned_per_guide_h is None
                else str(row.earned_per_guide_h),
            }
            for row in cost.rows
        ],
        "private_day": {
            "heads": cost.private_heads,
            "margin_share": str(cost.wished_margin),
            "price": None if cost.private.price is None else str(cost.private.price),
            "price_exact": None
            if cost.private.price_exact is None
            else str(cost.private.price_exact),
            "why": cost.private.reason,
        },
    }


def _point(point: BreakEven) -> dict[str, Any]:
    exact = point.units_exact
    return {
        "heads_exact": None if exact is None else str(round(exact, 2)),
        "heads": point.units,
        "why": point.reason,
    }
