"""`make bench`: prints every figure of the bench_*.py modules beside this file.

Each module has `figures()`, an iterable of Figure. Names on the command line choose modules.
"""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

HERE = Path(__file__).parent


def main(wanted: list[str]) -> None:
    for path in sorted(HERE.glob("bench_*.py")):
        if wanted and path.stem.removeprefix("bench_") not in wanted:
            continue
        for figure in importlib.import_module(f"bench.{path.stem}").figures():
            print(figure, flush=True)


if __name__ == "__main__":
    main(sys.argv[1:])
