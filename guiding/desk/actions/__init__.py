"""Writes that span the houses: the first run, the demo season."""
