"""Rows turned into frozen values for drawings, papers and calendars."""
