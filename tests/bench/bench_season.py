"""How soon a server answers with a whole season of a league in its store; see season.py.

The server is on the same machine, and has its usual small memory.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable

from bench import season
from bench.bench_logbook import ON_SCREEN, SCROLL
from bench.figures import Figure
from chromium import chromium
from database_server import running
from unspool.app import PageServer, create_app
from unspool.kept import Readings
from unspool.runs import stored_run
from unspool.store import Store
from unspool.study.compare import ComparedRun, compare

COMPARED, TIMES = 10, 5


def figures() -> Iterable[Figure]:
    with running() as server, server.fresh() as place, Store.open(place) as store:
        season.fill(store)
        yield _answer("list", lambda: len(store.runs()) == season.ATTEMPTS)
        yield _answer("ranking_by_tape", lambda: len(_ranking(store)) == season.CARS)
        yield _answer("history_of_a_car", lambda: len(_of_car(store, "Car 007")) == 40)
        ids = _of_car(store, "Car 007")[:COMPARED]
        _compared(store, ids)
        yield _answer(f"comparison_of_{COMPARED}_read", lambda: _compared(store, ids))
        season.keep_lines(store)
        yield from _logbook(store)


def _logbook(store: Store) -> Iterable[Figure]:
    """From the address to the first attempt on the screen, and until all others have come."""
    with PageServer(create_app(store), port=0) as server, chromium() as browser:
        server.wait_until_ready()
        page = browser.new_page()
        page.goto(f"{server.address}logbook", wait_until="commit")
        first = float(page.evaluate(ON_SCREEN, "[role=row] .name"))
        page.get_by_text("20,000 attempts", exact=True).wait_for()
        every = float(page.evaluate("performance.now()"))
        yield Figure("season_logbook_first_rows", first / 1e3, "s")
        yield Figure("season_logbook_all_rows", every / 1e3, "s")
        yield Figure("season_logbook_scroll_frame_p95", float(page.evaluate(SCROLL)), "ms",
                     "a frame at 60 Hz", 1000.0 / 60.0)  # fmt: skip


def _answer(what: str, answers: Callable[[], bool]) -> Figure:
    """The shortest of some times: others are longer by what else the computer does."""
    took = []
    for _ in range(TIMES):
        began = time.perf_counter()
        assert answers(), what
        took.append(time.perf_counter() - began)
    return Figure(f"season_{what}", min(took), "s")


def _ranking(store: Store) -> list[tuple[str, float]]:
    best: dict[str, float] = {}
    for row in store.runs():
        best[str(row.car)] = max(best.get(str(row.car), 0.0), row.taped_m or 0.0)
    return sorted(best.items(), key=lambda one: -one[1])


def _of_car(store: Store, name: str) -> list[str]:
    return [run for version in store.cars.one(name).versions for run in version.runs]


def _compared(store: Store, ids: list[str]) -> bool:
    readings = Readings(store)
    runs = [stored_run(store.run(run)) for run in ids]
    compared = [ComparedRun(run.stored or "", readings.reading(run), run.car) for run in runs]
    return bool(compare(compared))
