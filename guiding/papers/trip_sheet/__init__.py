"""The client's trip sheet: two pages at most for any usual party."""

from guiding.papers.trip_sheet._build import trip_sheet_pdf

__all__ = ["trip_sheet_pdf"]
