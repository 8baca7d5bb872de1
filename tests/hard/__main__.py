"""`make hard`: every class of hard use, for about an hour; a share of it with --share or --short.

    python -m hard [--only CLASS] [--seed N] [--share X | --count N | --short] [--case N] [--fresh]

Goes on from where it was broken off with the same seed. --jobs tries so many cases at once: those
with boards and signals mostly wait. The files of a case that fails stay in build/hard/failed. Exits
with 1 when a case did not hold.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import shutil
import sys
import tempfile
from collections.abc import Iterable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from multiprocessing import get_context
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hard import asking
from hard.all_classes import CLASSES
from hard.broken_product import BREAKS, MOST_CASES, broken_for
from hard.hard_class import HardClass, Tried
from hard.table import Progress, as_markdown

KEPT = Path(__file__).parents[2] / "build" / "hard"
FAILED = KEPT / "failed"


def main() -> int:
    options = _options()
    chosen = [one for one in CLASSES if not options.only or one.name in options.only]
    kept = options.kept or KEPT / f"seed-{options.seed}.jsonl"
    if options.fresh:
        kept.unlink(missing_ok=True)
    asking.import_everything()
    if options.broken:
        return _all_caught(chosen, options.seed)
    progress = Progress(kept)
    due = [
        (one, case)
        for one in chosen
        for case in _cases(one, options)
        if not progress.has(one.name, case)
    ]
    for name, case, found in _tried_all(due, options):
        progress.keep(name, case, found)
    for name, case, bad in progress.failed():
        print(f"{name} {case}: {bad.what}\n    {'; '.join(bad.faults)}")
    print(as_markdown(progress.rows(CLASSES)))
    return 1 if progress.failed() else 0


def tried(
    one: HardClass, seed: int, case: int, keep: Path | None = None, failed: Path | None = None
) -> Tried:
    """One case in a folder of its own, which `keep` has afterwards, or `failed` if it failed."""
    with tempfile.TemporaryDirectory(prefix="hard-", ignore_cleanup_errors=True) as folder:
        place = Path(folder)
        try:
            found = one.case(random.Random(f"{seed} {one.name} {case}"), place)
        except AssertionError as error:
            found = Tried("an assertion of the case's own", [str(error)[:500]])
        kept = keep or (failed if found.faults else None)
        if kept is not None:
            shutil.copytree(place, kept, symlinks=True, dirs_exist_ok=True)
    return found


def _all_caught(chosen: list[HardClass], seed: int) -> int:
    """Says for each class which case fails when the product is broken; 1 if none does."""
    missed = 0
    for one in (one for one in chosen if one.name in BREAKS):
        with broken_for(one.name):
            found = (tried(one, seed, case) for case in range(MOST_CASES))
            caught = next((bad for bad in found if bad.faults), None)
        said = caught.faults[0].splitlines()[0][:120] if caught else "NOT CAUGHT"
        print(f"{one.name}: {said}", flush=True)
        missed += caught is None
    return min(missed, 1)


def _tried_all(
    due: list[tuple[HardClass, int]], options: argparse.Namespace
) -> Iterator[tuple[str, int, Tried]]:
    """Each case as soon as it is judged; a worker is a fork that has imported everything."""
    with ProcessPoolExecutor(options.jobs, get_context("fork")) as workers:
        under_way = {
            workers.submit(_try, one.name, case, options): (one, case) for one, case in due
        }
        for done in as_completed(under_way):
            one, case = under_way[done]
            yield one.name, case, done.result()


def _try(name: str, case: int, options: argparse.Namespace) -> Tried:
    """The worker finds the class by its name, since functions do not travel."""
    one = next(one for one in CLASSES if one.name == name)
    failed = FAILED / f"{name} {case}" if options.kept is None else None
    return tried(one, options.seed, case, options.keep, failed)


def _cases(one: HardClass, options: argparse.Namespace) -> Iterable[int]:
    if options.case is not None:
        return [options.case]
    if options.short:
        return range(one.short)
    return range(options.count or math.ceil(one.count * options.share))


def _options() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m hard")
    parser.add_argument("--only", action="append", choices=[one.name for one in CLASSES])
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--share", type=float, default=1.0, help="of the full counts")
    parser.add_argument("--count", type=int, help="cases of each class")
    parser.add_argument("--short", action="store_true", help="what `make test` runs")
    parser.add_argument("--broken", action="store_true", help="see that a broken product fails")
    parser.add_argument("--case", type=int, help="this one case")
    parser.add_argument("--keep", type=Path, help="folder for the files of --case")
    parser.add_argument("--jobs", type=int, default=4, help="cases at once")
    parser.add_argument("--kept", type=Path, help="file of what was tried")
    parser.add_argument("--fresh", action="store_true", help="forget what was tried")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
