"""Query: what the search part of a page's address asks for. Anything unknown in it is ignored."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from urllib.parse import parse_qsl, urlencode

from unspool.errors import one_fault
from unspool.language import LANGUAGES, _, language
from unspool.typed import decimal, typed_number

# More runs than anybody makes in a season, few enough to read in a minute.
MOST_RUNS = 60
MOST_CHARACTERS = 200
MOST_FIELDS = 4 * MOST_RUNS
BEYOND = 1e6  # in whatever unit a field has, nobody means as much


@dataclass(frozen=True)
class Query:
    """Pairs of name and value, in their order."""

    pairs: tuple[tuple[str, str], ...]

    def ids(self, name: str = "run") -> tuple[str, ...]:
        """The runs' ids, each once."""
        found = (value for key, value in self.pairs if key == name)
        good = (value for value in found if re.fullmatch(r"[0-9]{1,18}", value))
        return tuple(dict.fromkeys(good))[:MOST_RUNS]

    def one_of(self, name: str, choices: Sequence[str]) -> str | None:
        return next((v for k, v in self.pairs if k == name and v in choices), None)

    def text(self, name: str) -> str:
        """The value without spaces at its ends, cut to MOST_CHARACTERS; "" if there is none."""
        return next((v[:MOST_CHARACTERS] for k, v in self.pairs if k == name), "").strip()

    def number(self, name: str) -> float | None:
        """The number of that name, with a decimal comma or point; None if it is none."""
        number = decimal(self.text(name))
        return number if number is not None and abs(number) < BEYOND else None

    def asked(self, name: str, called: str) -> float | None:
        """The number that was typed into a field, None if it is empty.

        called: the field's name for people. Raises InputError if something else was typed.
        """
        text = self.text(name)
        if not text:
            return None
        number = typed_number(called, text)
        if abs(number) >= BEYOND:
            raise one_fault(called, f'"{text[:20]}"', _("a number below a million"))
        return number


def parse_query(search: str) -> Query:
    """An empty query if the search part is longer than any form of ours makes it."""
    try:
        return Query(tuple(parse_qsl(search.removeprefix("?"), max_num_fields=MOST_FIELDS)))
    except ValueError:
        return Query(())


def address(path: str, fields: Mapping[str, object]) -> str:
    """path?name=value..., with one pair for each value of a list. Empty fields are left out."""
    given = {name: value for name, value in fields.items() if value not in (None, "", [], ())}
    return f"{path}?{urlencode(given, doseq=True)}" if given else path


def language_of(query: Query) -> str:
    """The language that a page's address asks for, or else the reader's."""
    return query.one_of("language", tuple(LANGUAGES)) or language()
