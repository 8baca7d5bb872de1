"""The commands. Each takes options, calls the packages beside this one and prints the result."""

from unspool.cli.entry import main

__all__ = ["main"]
