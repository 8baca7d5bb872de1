"""One result's place in the store, where it is found again or kept."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from unspool.kept.code_version import code_version, is_unchanged
from unspool.kept.codec import DamagedError, Shared, decode, encode

if TYPE_CHECKING:
    from unspool.store import Store


@dataclass(frozen=True)
class Place:
    """Where one result of a run is kept. shared: what is written elsewhere, as in `encode`."""

    store: Store
    run_id: str
    key: str
    shared: Shared

    def find(self) -> Any:
        """What is kept here; None if nothing is, or it is damaged."""
        data = self.store.kept(self.run_id, self.key, code_version())
        if data is not None:
            with suppress(DamagedError, TypeError, ValueError):
                key, value = decode(data, self.shared)
                return value if key == self.key else None
        return None

    def keep(self, value: object) -> None:
        if not is_unchanged():  # it would stand under the version of other code
            return
        with suppress(TypeError):  # a new kind of field that has no form yet; a test finds it
            data = encode((self.key, value), self.shared)
            self.store.keep(self.run_id, self.key, code_version(), data)
