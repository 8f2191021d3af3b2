"""Spots, day plans, conditions, and what a day costs."""
