"""Writes about money: billed, paid, given back, written off. Only ever added."""
