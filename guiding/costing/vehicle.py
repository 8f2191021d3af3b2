"""What an authority's flat rate allows for a distance driven."""

from decimal import Decimal

from guiding.costing.rounding import _exact, _rounded


def vehicle_allowance(
    distance: Decimal,
    rate_first_band: Decimal,
    rate_after: Decimal,
    first_band_limit: Decimal | None = None,
    minor_digits: int = 2,
) -> Decimal:
    """The allowance for a year's distance at a flat rate with up to two bands, rounded once.

    `distance` and `first_band_limit` in the unit of the rates (km or miles), 0 or more; without a
    limit the first rate holds throughout; a rate of 0 after the limit is a cap. Rates are the
    authority's for one period and age: check with your own authority.
    Source: scheme of the UK, US and Australian flat rates as restated on secondary pages.
    """
    driven = _exact(distance, "Distance")
    limit = driven if first_band_limit is None else _exact(first_band_limit, "First band limit")
    first = min(driven, limit) * _exact(rate_first_band, "Rate of the first band")
    after = max(driven - limit, Decimal(0)) * _exact(rate_after, "Rate after the first band")
    return _rounded(first + after, minor_digits)
