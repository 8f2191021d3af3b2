"""Hazards, assessments, briefings: what can hurt somebody on this day, and what we do about it."""
