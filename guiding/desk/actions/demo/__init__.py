"""The demo season: invented, built from a fixed seed around a given day."""

from guiding.desk.actions.demo.season import DemoLoaded, load_demo

__all__ = ["DemoLoaded", "load_demo"]
