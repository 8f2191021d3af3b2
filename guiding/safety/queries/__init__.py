"""Questions about safety."""
