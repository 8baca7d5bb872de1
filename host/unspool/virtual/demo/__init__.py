"""The virtual car and board, in our own invented scenario."""

from unspool.virtual.demo.demo import Demo, start

__all__ = ["Demo", "start"]
