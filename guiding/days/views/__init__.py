"""The pages of spots, tides and rates."""
