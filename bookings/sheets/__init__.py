"""Rows read into frozen values: for the rules, for papers, for whoever must not see a table."""
