"""The language in which people read: messages by catalogue, numbers by the language's habit.

The English text of a message is its key. A catalogue `locale/CODE.po` holds the others. The
language belongs to the task that answers a request (a context variable), so that two readers of one
server do not meet each other's.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Any, Self

ENGLISH = "en"
# Each language by its own name, as those who read it look for it.
LANGUAGES: Mapping[str, str] = {
    ENGLISH: "English",
    "pt": "Português",
    "es": "Español",
    "de": "Deutsch",
    "fr": "Français",
}

_language: ContextVar[str] = ContextVar("language", default=ENGLISH)


def choose_language(code: str) -> None:
    """For all that is said in the present context. Raises KeyError for one that there is not."""
    LANGUAGES[code]
    _language.set(code)


def language() -> str:
    """The code of the present language, a key of LANGUAGES."""
    return _language.get()


@contextmanager
def in_language(code: str) -> Iterator[None]:
    """The language of all that is said inside. Raises KeyError for one that there is not."""
    LANGUAGES[code]
    before = _language.set(code)
    try:
        yield
    finally:
        _language.reset(before)


def _(message: str, /, **values: object) -> str:
    """The message in the present language, with the values in its {fields}."""
    code = language()
    text = message if code == ENGLISH else single_messages(code).get(message, message)
    return text.format(**values) if values else text


def many(one: str, more: str, count: float, /, **values: object) -> str:
    """The message for so many: `one` for 1, or else `more`. `{count}` is the number."""
    code = language()
    if code == ENGLISH:
        text = one if count == 1 else more
    else:
        text = plurals(code).get(one, (one, more))[plural_form(code, count)]
    return text.format(count=localised(f"{count:g}"), **values)


def later(message: str) -> str:
    """Marks a message that stands in a table; `_` translates it when it is shown."""
    return message


def translated(messages: Iterable[str]) -> list[str]:
    """Messages of a table, such as the heads of its columns."""
    return [_(one) for one in messages]


class Phrase(str):
    """A message that `str` and the {fields} of messages say in the language of the one who reads.

    Errors carry one: they are often raised on another thread than the one that shows them. As a
    text it is the English, which files get.
    """

    message: str
    values: Mapping[str, object]

    def __new__(cls, message: str, /, **values: object) -> Self:
        with in_language(ENGLISH):
            phrase = super().__new__(cls, _(message, **values))
        phrase.message, phrase.values = message, values
        return phrase

    def __str__(self) -> str:
        return _(self.message, **self.values)

    def __format__(self, spec: str) -> str:
        return format(str(self), spec)


def localised(number: str) -> str:
    """A number that is written with a point, with the decimal sign of the present language."""
    return number.replace(".", decimal_sign(language()))


def day_words(day: date, today: date | None = None) -> str:
    """`28 Nov 2026`, as the present language writes it; without the year if it is today's."""
    has_year = today is None or day.year != today.year
    if language() == ENGLISH:
        return f"{day.day} {day:%b %Y}" if has_year else f"{day.day} {day:%b}"
    from babel.dates import format_skeleton

    # patterns of the Unicode locale data (UTS 35)
    return format_skeleton("yMMMd" if has_year else "MMMd", day, locale=language())


@cache
def decimal_sign(code: str) -> str:
    """What separates a number's whole part from the rest: a point or a comma."""
    if code == ENGLISH:
        return "."
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(code)


def plural_form(code: str, count: float) -> int:
    """Of the two forms that all these languages have. French and Portuguese count 0 as one."""
    if code == ENGLISH:
        return int(count != 1)
    from babel.plural import PluralRule

    rule: PluralRule = _locale(code).plural_form
    return 0 if rule(count) == "one" else 1


@cache
def _locale(code: str) -> Any:  # a babel.Locale, whose library is loaded for other languages only
    from babel import Locale

    return Locale.parse(code)


@cache
def single_messages(code: str) -> Mapping[str, str]:
    """The translation of each message without a plural, by its English."""
    return {one.id: one.string for one in _catalogue(code) if one.string and not one.pluralizable}


@cache
def plurals(code: str) -> Mapping[str, tuple[str, str]]:
    """The two forms of each plural, by the English of one."""
    forms = (one for one in _catalogue(code) if one.pluralizable)
    return {one.id[0]: (one.string[0], one.string[-1]) for one in forms if all(one.string)}


@cache
def _catalogue(code: str) -> tuple[Any, ...]:
    """The messages of a language, babel.messages.Message each."""
    from babel.messages.pofile import read_po

    with files("unspool.locale").joinpath(f"{code}.po").open("rb") as file:
        return tuple(one for one in read_po(file) if one.id)
