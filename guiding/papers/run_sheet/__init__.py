"""The guide's run sheet: the day as it is run, with the boxes to fill in."""

from guiding.papers.run_sheet._build import run_sheet_pdf

__all__ = ["run_sheet_pdf"]
