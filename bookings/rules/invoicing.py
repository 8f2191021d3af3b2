"""A price billed in parts: each part carries its tax by rate, and all parts make the whole.

Where the last part is the whole less the parts before it, no cent of net or tax is lost between
them, however each was rounded.
"""

from collections.abc import Sequence
from decimal import Decimal

from bookings.rules.money import allocate_money, checked_money, rounded_money
from bookings.rules.tax import TaxLine, tax_inside


def part_by_rate(
    part: Decimal, whole: Sequence[TaxLine], currency: str, label: str = ""
) -> tuple[TaxLine, ...]:
    """A part of a price, tax in it, spread over the rates of the whole by their weight.

    `part` in money above 0 and not above the whole; `whole` one line a rate, as `by_rate` of a tax
    sheet. A part that is the whole comes out with the whole's own net and tax; of a lesser one a
    rate that comes to less than 0 gets nothing. Errors: a part outside. Source: house rule; tax
    fraction as in `tax_inside`.
    """
    gross = sum((line.gross for line in whole), Decimal(0))
    if not 0 < checked_money(part, currency) <= gross:
        raise ValueError(
            f"{part} {currency} is no part of {gross}; enter more than 0, at most that."
        )
    if part == gross:
        return tuple(
            TaxLine(label, line.rate_pct, line.net, line.tax, line.gross)
            for line in whole
            if line.gross
        )
    weights = [max(line.gross, Decimal(0)) for line in whole]
    shares = allocate_money(part, weights, currency)
    return tuple(
        _with_tax(label, line.rate_pct, share, currency)
        for line, share in zip(whole, shares, strict=True)
        if share
    )


def rest_by_rate(
    whole: Sequence[TaxLine], parts: Sequence[TaxLine], currency: str, label: str = ""
) -> tuple[TaxLine, ...]:
    """What is left of a price at each rate when the parts are taken off, net and tax alike.

    Several lines of one rate are added up first. A rate of which nothing is left is left out; a
    rate of which more was billed than there is comes out below 0. Source: subtraction.
    """
    nothing = rounded_money(Decimal(0), currency)
    rates = sorted(
        {line.rate_pct for line in (*whole, *parts)},
        key=lambda rate: -1 if rate is None else rate,
        reverse=True,
    )
    found = []
    for rate in rates:
        sums = [
            sum((getattr(x, name) for x in whole if x.rate_pct == rate), nothing)
            - sum((getattr(x, name) for x in parts if x.rate_pct == rate), nothing)
            for name in ("net", "tax", "gross")
        ]
        if any(sums):
            found.append(TaxLine(label, rate, *sums))
    return tuple(found)


def _with_tax(label: str, rate: Decimal | None, gross: Decimal, currency: str) -> TaxLine:
    tax = rounded_money(Decimal(0), currency)
    if rate is not None:
        tax = tax_inside(gross, rate, currency)
    return TaxLine(label, rate, gross - tax, tax, gross)
