"""Faults of the standard deviations in a car file: each needs its value, and is smaller than it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any

from unspool.car.faults import Path, fault, found_text, number
from unspool.errors import Fault
from unspool.language import _, localised

# A value that is known no better than this was not measured.
_LARGEST_SD_SHARE = 0.5
# Sizes that may well be 0: their standard deviation has no share to be held against.
_MAY_BE_ZERO = ("constant_drag_n", "linear_drag_n_s_per_m", "rolling_coefficient")
_SD = re.compile(r"_sd(?=_|$)")


def sd_faults(raw: Mapping[str, Any]) -> Iterator[Fault]:
    for path, table in _tables(raw):
        for key in table:
            if isinstance(key, str) and _SD.search(key):
                yield from _of(path, table, key)


def _tables(raw: Mapping[str, Any]) -> Iterator[tuple[Path, Mapping[str, Any]]]:
    for name, value in raw.items():
        if isinstance(value, Mapping):
            yield (name,), value
        elif isinstance(value, list):
            yield from (((name, i), one) for i, one in enumerate(value) if isinstance(one, Mapping))


def _of(path: Path, table: Mapping[str, Any], key: str) -> Iterator[Fault]:
    measured = _SD.sub("", key)
    value, sd = number(table, measured), number(table, key)
    if sd is None or sd <= 0:
        return
    if measured not in table:
        yield fault((*path, measured), _("nothing"), _("a value, as `{key}` is given", key=key))
    elif measured not in _MAY_BE_ZERO and value is not None and 0 < value * _LARGEST_SD_SHARE < sd:
        half = localised(format(value * _LARGEST_SD_SHARE, ".4g"))
        most = _("at most {half}, half of {measured}", half=half, measured=measured)
        yield fault((*path, key), found_text(sd), most)
