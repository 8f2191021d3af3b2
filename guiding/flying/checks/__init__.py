"""Everything that must agree before a bait is flown, as findings with a number and a fix."""
