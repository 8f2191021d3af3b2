#!/usr/bin/env python
"""Runs the project's commands; `manage.py help` lists them."""

from guiding.__main__ import main

if __name__ == "__main__":
    main()
