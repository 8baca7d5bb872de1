"""PINs that are kept: only as a hash, of names and digits that can be, and of one role."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given as drawn
from hypothesis import settings
from hypothesis import strategies as st

from cheap_pins import cheap
from unspool import pins
from unspool.errors import InputError
from unspool.pins import Role, give, opened_by, take_away
from unspool.store import Hashed, KeptPin, Store

__all__ = ["cheap"]
PIN = "40718283"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s") as opened:
        yield opened


@pytest.mark.usefixtures("cheap")
def test_a_pin_opens_under_its_name_and_only_its_hash_is_kept(store: Store, tmp_path: Path) -> None:
    first, second = give(store, "Ana", "judge", "Ada"), give(store, "Ben", "owner", "Ada", PIN)
    assert len(first) == pins.GIVEN_DIGITS
    kept = store.pins.listed()
    assert [one.name for one in kept] == ["Ana", "Ben"]
    assert opened_by(kept, " aNA ", f"{first[:4]} {first[4:]}") == kept[0]
    assert opened_by(kept, "Ana", second) is None
    assert opened_by(kept, "Cleo", first) is None
    assert opened_by(kept, "", "") is None
    salts = {one.pin.salt for one in kept}
    assert {len(salt) for salt in salts} == {16}
    assert len(salts) == 2
    store.close()
    written = b"".join(file.read_bytes() for file in tmp_path.iterdir())
    assert PIN.encode() not in written
    assert first.encode() not in written


@pytest.mark.usefixtures("cheap")
@pytest.mark.parametrize(
    "pin", ["", "1234567", "9" * 21, "abcdefgh", "11111111", "12121212", "12345678", "98765432"]
)
def test_a_pin_that_others_would_guess_is_refused(store: Store, pin: str) -> None:
    with pytest.raises(InputError):
        give(store, "Ana", "judge", "Ada", pin)
    assert store.pins.listed() == []


@pytest.mark.usefixtures("cheap")
@pytest.mark.parametrize("name", ["", " \t", "a" * 41, "a\x00b", "a\u202eb", "\x1b[2J"])
def test_a_name_that_nobody_can_read_is_refused(store: Store, name: str) -> None:
    with pytest.raises(InputError):
        give(store, name, "judge", "Ada")


@pytest.mark.usefixtures("cheap")
def test_a_name_that_is_taken_and_a_role_that_is_none(store: Store) -> None:
    give(store, "<b>Ana</b>", "judge", "Ada", PIN)
    with pytest.raises(InputError, match="already"):
        give(store, "<B>ana</B>", "owner", "Ada")
    with pytest.raises(InputError, match="judge, station, owner"):
        give(store, "Ben", "king", "Ada")
    take_away(store, "<b>ANA</b>")
    with pytest.raises(InputError, match="nobody"):
        take_away(store, "Ana")


def test_the_hash_is_scrypts_and_dear() -> None:
    """RFC 7914, section 12, the third example; common practice (OWASP) for what a try costs."""
    made = bytes.fromhex("7023bdcb3afd7348461c06cd81fd38ebfda8fbba904f8e3ea9b543f6545da1f2")
    ana = KeptPin("Ana", Role.JUDGE, Hashed(b"SodiumChloride", made, 16384, 8, 1), 0, "")
    assert opened_by([ana], "Ana", "pleaseletmein") == ana
    assert opened_by([ana], "Ana", "pleaseletmeIn") is None
    assert (pins._COST.n, pins._COST.r, pins._COST.p) == (32768, 8, 3)


@pytest.mark.parametrize("numbers", [(0, 8, 1), (3, 8, 1), (2**40, 8, 1), (-2, 8, 1), (16, 0, 1)])
def test_a_row_with_numbers_that_scrypt_cannot_take_opens_nothing(
    numbers: tuple[int, int, int],
) -> None:
    pin = Hashed(b"salt", b"", *numbers)
    assert opened_by([KeptPin("Ana", "judge", pin, 0, "")], "Ana", PIN) is None


@settings(max_examples=50, deadline=None)
@drawn(st.text(max_size=30), st.text(max_size=30))
def test_no_name_and_no_pin_raises(name: str, pin: str) -> None:
    of = Hashed(b"salt", b"\x00" * 32, 2, 1, 1)
    ana = KeptPin("Ana", Role.JUDGE, of, 0, "")
    assert opened_by([ana, replace(ana, name=name)], name, pin) is None
