"""Judging. A contest of a store and what somebody says of it come in.

What is said goes into the contest's log, with who and when, or an InputError says why it cannot.
"""

from unspool.judging.attaching import attach_late, attach_run
from unspool.judging.judge import Judge, may_take_back
from unspool.judging.log import contest_in, events_in
from unspool.judging.setting_up import Organiser

__all__ = [
    "Judge",
    "Organiser",
    "attach_late",
    "attach_run",
    "contest_in",
    "events_in",
    "may_take_back",
]
