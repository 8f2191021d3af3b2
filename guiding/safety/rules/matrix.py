"""The matrix on which a risk is read: likelihood times consequence, five by five."""

from __future__ import annotations

LIKELIHOODS = ("rare", "unlikely", "possible", "likely", "almost certain")
CONSEQUENCES = ("insignificant", "minor", "moderate", "major", "catastrophic")
SOURCE = (
    "Words after the five by five matrix of the UK National Patient Safety Agency (2008); three "
    "bands after a published management-system sample: low 1 to 4, medium 5 to 10, high from 12."
)
_MEDIUM_FROM, _HIGH_FROM = 5, 12


def risk_band(likelihood: int, consequence: int) -> str:
    """The band of a risk: low, medium or high, from likelihood and consequence of 1 to 5.

    ValueError outside the matrix. Source: a published management-system sample, low 1 to 4,
    medium 5 to 10, high from 12 (11 does not occur).
    """
    if not (1 <= likelihood <= 5 and 1 <= consequence <= 5):
        raise ValueError(
            f"{likelihood} by {consequence} is not on the matrix: both run from 1 to 5."
        )
    score = likelihood * consequence
    return "low" if score < _MEDIUM_FROM else "medium" if score < _HIGH_FROM else "high"


def risk_bands() -> tuple[tuple[str, ...], ...]:
    """Every cell of the matrix: a row a likelihood from 1 to 5, in it a band a consequence."""
    levels = range(1, 6)
    return tuple(tuple(risk_band(row, column) for column in levels) for row in levels)
