"""Commands of safety."""
