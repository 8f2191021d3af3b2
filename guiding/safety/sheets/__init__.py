"""Rows of safety made into what is said and printed."""
