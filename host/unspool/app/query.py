"""What a page's address asks for: runs, groups, goals; anything else in it is passed over."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import isfinite
from urllib.parse import parse_qsl, urlencode

# More runs than anybody makes in a season, few enough to read in a minute.
MOST_RUNS = 60
MOST_TYPED = 200
MOST_FIELDS = 4 * MOST_RUNS


@dataclass(frozen=True)
class Asked:
    """The search part of an address as pairs, in order."""

    pairs: tuple[tuple[str, str], ...]

    def ids(self, name: str = "run") -> tuple[str, ...]:
        """The runs' ids, each once."""
        found = (value for key, value in self.pairs if key == name)
        good = (value for value in found if re.fullmatch(r"[0-9]{1,18}", value))
        return tuple(dict.fromkeys(good))[:MOST_RUNS]

    def one_of(self, name: str, choices: Sequence[str]) -> str | None:
        return next((v for k, v in self.pairs if k == name and v in choices), None)

    def text(self, name: str) -> str:
        """What was typed, "" for nothing; no more of it than anybody types."""
        return next((v[:MOST_TYPED] for k, v in self.pairs if k == name), "").strip()

    def number(self, name: str) -> float | None:
        """A finite number, or None."""
        for key, value in self.pairs:
            if key == name and re.fullmatch(r"-?[0-9]{0,6}(\.[0-9]{0,9})?", value):
                try:
                    number = float(value)
                except ValueError:
                    return None
                return number if isfinite(number) else None
        return None


def asked(search: str) -> Asked:
    """Nothing where the search part is longer than any form of ours makes it."""
    try:
        return Asked(tuple(parse_qsl(search.removeprefix("?"), max_num_fields=MOST_FIELDS)))
    except ValueError:
        return Asked(())


def address(path: str, fields: Mapping[str, object]) -> str:
    """path?name=value..., a list as one pair a value, without what is empty."""
    told = {name: value for name, value in fields.items() if value not in (None, "", [], ())}
    return f"{path}?{urlencode(told, doseq=True)}" if told else path
