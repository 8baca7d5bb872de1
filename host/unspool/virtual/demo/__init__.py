"""The demo: invented cars and a virtual board, and what really happened in their runs."""

from unspool.virtual.demo.demo import Demo, start
from unspool.virtual.demo.earlier_runs import add_earlier_runs

__all__ = ["Demo", "add_earlier_runs", "start"]
