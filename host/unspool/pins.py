"""PINs that stay: each judge, station or owner can have one. The store keeps only its hash."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from enum import StrEnum
from hashlib import scrypt
from itertools import pairwise
from secrets import compare_digest, randbelow, token_bytes

from unspool.errors import InputError
from unspool.language import _
from unspool.names import name_key
from unspool.store import Hashed, KeptPin, Store


class Role(StrEnum):
    """What a kept PIN opens."""

    JUDGE = "judge"
    STATION = "station"
    OWNER = "owner"


GIVEN_DIGITS = 8
LEAST_DIGITS, MOST_DIGITS = 8, 20
LONGEST_NAME = 40
_BYTES = 32
# N, r, p of scrypt: 32 MB and a fifth of a second a try (one of OWASP's equal choices).
_COST = Hashed(b"", b"", 2**15, 8, 3)
_MOST_MEMORY = 2**27  # bytes; a row that asks for more opens nothing


def give(store: Store, name: str, role: str, who: str, pin: str | None = None) -> str:
    """Keeps a PIN under a name, and returns it: it can never be read again. None makes one.

    Raises InputError for a name that is taken, or a name, role or PIN that cannot be.
    """
    checked = _name(name)
    digits = random_pin() if pin is None else _typed(pin)
    if role not in set(Role):
        raise InputError(_("a role is one of {roles}", roles=", ".join(Role)))
    if not store.pins.add(checked, role, _hashed(digits), who):
        raise InputError(
            _("{name} has a PIN already; take that away first, or give another name", name=checked)
        )
    return digits


def take_away(store: Store, name: str) -> None:
    """Raises InputError if nobody of that name has a PIN."""
    if not store.pins.remove(name):
        raise InputError(_("nobody called {name} has a PIN", name=repr(name[:LONGEST_NAME])))


def opened_by(kept: Iterable[KeptPin], name: str, pin: str) -> KeptPin | None:
    """Whose PIN it is. An unknown name takes as long as a wrong PIN."""
    key = name_key(name)
    found = next((one for one in kept if name_key(one.name) == key), None)
    of = found.pin if found else _COST
    made = _hash(_digits(pin), of)
    return found if found and made and compare_digest(made, of.hash) else None


def _hashed(pin: str) -> Hashed:
    salted = replace(_COST, salt=token_bytes(16))
    return replace(salted, hash=_hash(pin, salted))


def _hash(pin: str, of: Hashed) -> bytes:
    """Empty for numbers that scrypt cannot take."""
    try:
        return scrypt(
            pin.encode(), salt=of.salt, n=of.n, r=of.r, p=of.p, maxmem=_MOST_MEMORY, dklen=_BYTES
        )
    except (ValueError, TypeError, OverflowError):
        return b""


def _digits(pin: str) -> str:
    """Without the spaces that make it easy to read out."""
    return "".join(pin.split())


def random_pin() -> str:
    """Eight digits, and none that comes to mind first: 250 guesses a minute take months."""
    pin = f"{randbelow(10**GIVEN_DIGITS):0{GIVEN_DIGITS}d}"
    return random_pin() if _is_easy(pin) else pin


def _typed(pin: str) -> str:
    digits = _digits(pin)
    if not (digits.isascii() and digits.isdigit() and LEAST_DIGITS <= len(digits) <= MOST_DIGITS):
        raise InputError(
            _("a PIN has {least} to {most} digits", least=LEAST_DIGITS, most=MOST_DIGITS)
        )
    if _is_easy(digits):
        raise InputError(_("others would guess that PIN first; take another"))
    return digits


def _is_easy(digits: str) -> bool:
    """Fewer than four digits that differ, or each one step from the one before."""
    steps = {int(after) - int(before) for before, after in pairwise(digits)}
    return len(set(digits)) < 4 or steps in ({1}, {-1})


def _name(name: str) -> str:
    checked = " ".join(name.split())
    if not checked or len(checked) > LONGEST_NAME or not checked.isprintable():
        raise InputError(_("a name has 1 to {most} characters that can be seen", most=LONGEST_NAME))
    return checked
