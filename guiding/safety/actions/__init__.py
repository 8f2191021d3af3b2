"""Writes about safety."""
