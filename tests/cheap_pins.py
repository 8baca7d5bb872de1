"""Kept PINs without the moment that their hash takes on purpose."""

from __future__ import annotations

import pytest

from unspool import pins
from unspool.store import Hashed


@pytest.fixture
def cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pins, "_COST", Hashed(b"", b"", 2, 1, 1))
