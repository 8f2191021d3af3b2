"""Pages of safety."""
