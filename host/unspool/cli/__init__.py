"""The commands; each a thin call into the packages beside this one."""

from unspool.cli.entry import main

__all__ = ["main"]
