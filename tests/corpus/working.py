"""All answers, by one process or by several."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from multiprocessing import get_context
from typing import Any

from corpus.answers import answer
from corpus.cases import cases

CHUNK = 4


def answers(names: Sequence[str], jobs: int = 1) -> Iterator[tuple[str, Any]]:
    """Each case's name with its answer, in the order of the names."""
    if jobs < 2:
        yield from map(_one, names)
        return
    with get_context("spawn").Pool(jobs) as pool:
        yield from pool.imap(_one, names, chunksize=CHUNK)


def _one(name: str) -> tuple[str, Any]:
    """A case's answer; one that crashes must not end the others."""
    try:
        return name, answer(cases()[name])
    except Exception as error:
        return name, {"crashed": f"{type(error).__name__}: {error}"}
