"""The demo season: invented, built from a fixed seed around a given day."""

from guiding.desk.actions.demo.season import DemoLoaded, load_demo
from guiding.desk.actions.demo.statement import demo_statement

__all__ = ["DemoLoaded", "demo_statement", "load_demo"]
