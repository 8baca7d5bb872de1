"""`make hard`: every class of hard use, for about an hour; a share of it with --share or --short.

    python -m hard [--only CLASS] [--seed N] [--share X | --count N | --short] [--case N] [--fresh]

Goes on from where it was broken off with the same seed. Exits with 1 when a case did not hold.
"""

from __future__ import annotations

import argparse
import math
import os
import random
import shutil
import sys
import tempfile
from collections.abc import Iterable
from pathlib import Path

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from hard import asking
from hard.all_classes import CLASSES
from hard.hard_class import HardClass, Tried
from hard.table import Progress, as_markdown

KEPT = Path(__file__).parents[2] / "build" / "hard"


def main() -> int:
    options = _options()
    chosen = [one for one in CLASSES if not options.only or one.name in options.only]
    kept = options.kept or KEPT / f"seed-{options.seed}.jsonl"
    if options.fresh:
        kept.unlink(missing_ok=True)
    progress = Progress(kept)
    asking.import_everything()
    for one in chosen:
        for case in _cases(one, options):
            if not progress.has(one.name, case):
                progress.keep(one.name, case, tried(one, options.seed, case, options.keep))
    for name, case, bad in progress.failed():
        print(f"{name} {case}: {bad.what}\n    {'; '.join(bad.faults)}")
    print(as_markdown(progress.rows(CLASSES)))
    return 1 if progress.failed() else 0


def tried(one: HardClass, seed: int, case: int, keep: Path | None = None) -> Tried:
    """One case in a folder of its own, which `keep` has afterwards."""
    with tempfile.TemporaryDirectory(prefix="hard-", ignore_cleanup_errors=True) as folder:
        place = Path(folder)
        try:
            found = one.case(random.Random(f"{seed} {one.name} {case}"), place)
        except AssertionError as error:
            found = Tried("an assertion of the case's own", [str(error)[:500]])
        if keep is not None:
            shutil.copytree(place, keep, symlinks=True, dirs_exist_ok=True)
    return found


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
    parser.add_argument("--case", type=int, help="this one case")
    parser.add_argument("--keep", type=Path, help="folder for the files of --case")
    parser.add_argument("--kept", type=Path, help="file of what was tried")
    parser.add_argument("--fresh", action="store_true", help="forget what was tried")
    return parser.parse_args()


if __name__ == "__main__":
    sys.exit(main())
