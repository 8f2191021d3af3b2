"""Every write about how a day is run."""
