"""Every question asked of spots, plans and rates; each takes its day."""
