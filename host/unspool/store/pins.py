"""Pins: the PINs that are kept, salted and hashed. What makes and checks one is unspool.pins."""

from __future__ import annotations

import time
from dataclasses import asdict, dataclass

from sqlalchemy import delete, insert, select

from unspool.names import name_key
from unspool.store import schema
from unspool.store.cells import damaged
from unspool.store.opened import Opened

_OF = schema.pins.c
_COLUMNS = dict(_OF.items())


@dataclass(frozen=True)
class Hashed:
    """hash: 32 bytes that scrypt makes of a PIN with these (RFC 7914, section 2: N, r, p)."""

    salt: bytes
    hash: bytes
    n: int
    r: int
    p: int


@dataclass(frozen=True)
class KeptPin:
    """role: what it opens. who: the person that made it."""

    name: str
    role: str
    pin: Hashed
    made_us: int
    who: str


@dataclass(frozen=True)
class Pins:
    """The kept PINs of a store. All methods raise StoreError."""

    _read: Opened
    _write: Opened

    def listed(self) -> list[KeptPin]:
        """By name. A damaged one opens nothing, so it is left out."""
        with self._read() as connection:
            rows = connection.execute(select(schema.pins).order_by(_OF.key)).all()
        return [
            KeptPin(
                row.name,
                row.role,
                Hashed(row.salt, row.hash, row.n, row.r, row.p),
                row.made_us,
                row.who,
            )
            for row in rows
            if not damaged(row, _COLUMNS)
        ]

    def add(self, name: str, role: str, pin: Hashed, who: str) -> bool:
        """False, and nothing is changed, if somebody of that name has one."""
        with self._write() as connection:
            if connection.execute(select(_OF.id).where(_OF.key == name_key(name))).first():
                return False
            values = {"name": name, "key": name_key(name), "role": role, "who": who}
            made = {"made_us": time.time_ns() // 1000}
            connection.execute(insert(schema.pins).values(values | made | asdict(pin)))
        return True

    def remove(self, name: str) -> bool:
        """False if nobody of that name has one."""
        with self._write() as connection:
            gone = connection.execute(delete(schema.pins).where(_OF.key == name_key(name)))
            return gone.rowcount > 0
