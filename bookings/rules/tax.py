"""Tax on a document: inside its prices or on top, several rates or none, rounded by the law.

Rates and rounding rules age and differ by country: check with your own authority.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from bookings.rules.money import Rounding, checked_money, rounded_money, settle_to_total


class TaxBasis(StrEnum):
    """Whether the amounts of a document hold the tax or stand before it."""

    INCLUSIVE = "inclusive"
    EXCLUSIVE = "exclusive"


class RoundedPer(StrEnum):
    """Where a document's tax is rounded: on each line, on each rate's sum, or on the whole."""

    LINE = "line"
    RATE = "rate"
    DOCUMENT = "document"


@dataclass(frozen=True, slots=True)
class TaxRule:
    """How and where tax is rounded."""

    per: RoundedPer = RoundedPer.RATE
    rounding: Rounding = Rounding.HALF_UP


_HALF_UP = tuple(TaxRule(per) for per in (RoundedPer.DOCUMENT, RoundedPer.LINE, RoundedPer.RATE))
_HALF_DOWN = tuple(
    TaxRule(per, Rounding.HALF_DOWN) for per in (RoundedPer.DOCUMENT, RoundedPer.LINE)
)
_ROUNDED_DOWN = (TaxRule(RoundedPer.DOCUMENT, Rounding.DOWN),)


@dataclass(frozen=True, slots=True)
class TaxItem:
    """A line before tax is worked out; `rate_pct` None is exempt, 0 is taxed at nothing."""

    label: str
    amount: Decimal
    rate_pct: Decimal | None


@dataclass(frozen=True, slots=True)
class TaxLine:
    """A line with its tax: net + tax = gross."""

    label: str
    rate_pct: Decimal | None
    net: Decimal
    tax: Decimal
    gross: Decimal


@dataclass(frozen=True, slots=True)
class TaxSheet:
    """A document's lines and the sums by rate and in all; every column adds up.

    `by_rate` holds one TaxLine for each rate, highest first, exempt last. `note` is the reason for
    exemption that the document has to print.
    """

    lines: tuple[TaxLine, ...]
    by_rate: tuple[TaxLine, ...]
    net: Decimal
    tax: Decimal
    gross: Decimal
    note: str = ""


def tax_rules(country: str, basis: TaxBasis) -> tuple[TaxRule, ...]:
    """The ways a country lets tax be rounded, the usual one first.

    `country` of ISO 3166. Australia (AU): half a cent up, on the document or each line. New Zealand
    (NZ): half a cent may drop. United Kingdom (GB): the tax of an invoice priced before tax may be
    rounded down to a whole penny; not so where prices hold the tax. Elsewhere half up on each
    rate's sum [common practice]. Keep to one way within a tax period.
    Source: A New Tax System (GST) Act 1999 s 9-90 (AU); GST Act 1985 s 19O (NZ); HMRC VATREC12010
    and 12020 (UK).
    """
    if country == "AU":
        return _HALF_UP[:2]
    if country == "NZ":
        return (*_HALF_UP[:2], *_HALF_DOWN)
    if country == "GB":
        return _HALF_UP[:2] + (_ROUNDED_DOWN if basis is TaxBasis.EXCLUSIVE else ())
    return _HALF_UP[::-1]


def checked_tax_rule(rule: TaxRule, country: str, basis: TaxBasis) -> TaxRule:
    """The rule itself, or a ValueError when the country does not allow it; see tax_rules."""
    allowed = tax_rules(country, basis)
    if rule not in allowed:
        ways = "; ".join(f"{x.rounding.replace('_', ' ')} per {x.per}" for x in allowed)
        raise ValueError(
            f"In {country} tax on {basis} prices is not rounded "
            f"{rule.rounding.replace('_', ' ')} per {rule.per}; allowed: {ways}."
        )
    return rule


def tax_inside(
    gross: Decimal, rate_pct: Decimal, currency: str, rounding: Rounding = Rounding.HALF_UP
) -> Decimal:
    """The tax inside a price that holds it: gross x rate / (100 + rate), rounded.

    `rate_pct` in per cent, 0 or more. Errors: a negative rate, a float.
    Source: tax fraction of New Zealand's Inland Revenue, rate over 100 plus rate.
    """
    rate = _rate(rate_pct)
    return rounded_money(Fraction(gross) * rate / (100 + rate), currency, rounding)


def tax_on_top(
    net: Decimal, rate_pct: Decimal, currency: str, rounding: Rounding = Rounding.HALF_UP
) -> Decimal:
    """The tax on a price before tax: net x rate / 100, rounded.

    `rate_pct` in per cent, 0 or more. Errors: a negative rate, a float. Source: definition.
    """
    return rounded_money(Fraction(net) * _rate(rate_pct) / 100, currency, rounding)


def tax_sheet(
    items: Sequence[TaxItem],
    basis: TaxBasis,
    currency: str,
    rule: TaxRule | None = None,
    exempt_reason: str = "",
) -> TaxSheet:
    """The tax of a document, line by line, by rate and in all, so that every column adds up.

    The rule (half up on each rate's sum when None) gives the tax in all; the taxes of rates and
    lines are fitted to it, the difference on the largest. Amounts are money of `currency`, below 0
    for a reduction. A line that is exempt needs `exempt_reason`, as a small business states it.
    Errors: an exempt line without a reason, a negative rate, digits below the minor unit.
    Source: see tax_rules.
    """
    if not exempt_reason and any(item.rate_pct is None for item in items):
        raise ValueError("A line without tax needs its reason on the document; state it.")
    rule = rule or TaxRule()
    rates = sorted({x.rate_pct for x in items}, key=lambda r: -1 if r is None else r, reverse=True)
    members = [[i for i, x in enumerate(items) if x.rate_pct == rate] for rate in rates]
    exact = [_exact_tax(item, basis, currency) for item in items]
    line_taxes = [rounded_money(tax, currency, rule.rounding) for tax in exact]
    if rule.per is not RoundedPer.LINE:
        sums = _rate_taxes(
            [sum((exact[i] for i in m), Fraction(0)) for m in members], rule, currency
        )
        for group, due in zip(members, sums, strict=True):
            fitted = settle_to_total([exact[i] for i in group], due, currency)
            for place, tax in zip(group, fitted, strict=True):
                line_taxes[place] = tax
    lines = [_tax_line(x, tax, basis, currency) for x, tax in zip(items, line_taxes, strict=True)]
    by_rate = tuple(
        _summed("", rate, [lines[i] for i in group], currency)
        for rate, group in zip(rates, members, strict=True)
    )
    whole = _summed("", None, lines, currency)
    note = exempt_reason if None in rates else ""
    return TaxSheet(tuple(lines), by_rate, whole.net, whole.tax, whole.gross, note)


def _exact_tax(item: TaxItem, basis: TaxBasis, currency: str) -> Fraction:
    rate = _rate(item.rate_pct or Decimal(0))
    whole = 100 + rate if basis is TaxBasis.INCLUSIVE else Fraction(100)
    return Fraction(checked_money(item.amount, currency)) * rate / whole


def _rate_taxes(sums: Sequence[Fraction], rule: TaxRule, currency: str) -> tuple[Decimal, ...]:
    if rule.per is RoundedPer.RATE:
        return tuple(rounded_money(x, currency, rule.rounding) for x in sums)
    total = rounded_money(sum(sums, Fraction(0)), currency, rule.rounding)
    return settle_to_total(sums, total, currency)


def _tax_line(item: TaxItem, tax: Decimal, basis: TaxBasis, currency: str) -> TaxLine:
    amount = checked_money(item.amount, currency)
    net = amount - tax if basis is TaxBasis.INCLUSIVE else amount
    return TaxLine(item.label, item.rate_pct, net, tax, net + tax)


def _summed(
    label: str, rate_pct: Decimal | None, lines: Sequence[TaxLine], currency: str
) -> TaxLine:
    nothing = rounded_money(Decimal(0), currency)
    return TaxLine(
        label,
        rate_pct,
        sum((x.net for x in lines), nothing),
        sum((x.tax for x in lines), nothing),
        sum((x.gross for x in lines), nothing),
    )


def _rate(rate_pct: Decimal) -> Fraction:
    if isinstance(rate_pct, float) or rate_pct < 0:
        raise ValueError(f"Tax rate {rate_pct!r} is no rate; write it in per cent like 13.5.")
    return Fraction(rate_pct)
