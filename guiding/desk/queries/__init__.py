"""Questions that only the desk asks, because they span the rooms below it."""
