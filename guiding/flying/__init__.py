"""Energy, line and rig of a bait flown out: pure, no tables."""
