"""The demo: invented cars and a virtual board. A number of runs comes in.

A link to the board that makes them goes out, with what really happened.
"""

from unspool.virtual.demo.contest import add_contest
from unspool.virtual.demo.demo import Demo, start
from unspool.virtual.demo.earlier_runs import add_earlier_runs

__all__ = ["Demo", "add_contest", "add_earlier_runs", "start"]
