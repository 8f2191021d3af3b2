"""The back office of a shore-fishing guide."""

__version__ = "0.1.0"
