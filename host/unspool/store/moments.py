"""Moments: microseconds since 1970 in the tables, datetimes everywhere else."""

from __future__ import annotations

import time
from datetime import UTC, datetime, timedelta, timezone

LARGEST_OFFSET_S = 86_399  # what a time zone can be apart from UTC
_FIRST, _US = datetime.fromtimestamp(0, UTC), timedelta(microseconds=1)


def moment(us: int) -> datetime:
    return _FIRST + us * _US


def microseconds(at: datetime) -> int:
    return (at - _FIRST) // _US


def utc_offset_s(us: int) -> int:
    """How far this machine's clock on the wall is ahead of UTC at that moment."""
    return time.localtime(us // 1_000_000).tm_gmtoff


def local_moment(us: int, offset_s: int | None) -> datetime:
    """The moment on the clock of a place; on this machine's if the place is not known."""
    if offset_s is None or abs(offset_s) > LARGEST_OFFSET_S:
        return moment(us).astimezone()
    return moment(us).astimezone(timezone(timedelta(seconds=offset_s)))
