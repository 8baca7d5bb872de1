"""--hand-over: what is recorded here goes to a shared store, too."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.sources import store_place

if TYPE_CHECKING:
    from unspool.errors import StoreError
    from unspool.store import Store
    from unspool.store.copying import Copied

HandOverTo = Annotated[
    str | None,
    typer.Option(
        "--hand-over",
        metavar="STORE",
        help="Copy all that your own store has to this one, whenever it answers.",
    ),
]


@contextmanager
def handing_over(store: Store, name: str | None) -> Iterator[None]:
    """Copies from `store` into the store of this name while the command works; None for nowhere.

    Raises InputError if the name is none of a store, or of the same one.
    """
    if name is None:
        yield
        return
    from unspool.store.copying import HandOver

    with HandOver(store, store_place(name), _say_copied, _say_fault):
        yield


def _say_copied(did: Copied) -> None:
    from unspool.render.words.values import counted

    print(f"handed over {counted(did.new_runs, 'new run')}", flush=True)


def _say_fault(error: StoreError) -> None:
    print(f"unspool: handed over later: {error}", file=sys.stderr, flush=True)
