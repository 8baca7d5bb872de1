"""`python -m prose`: checks the English of pages, docstrings, comments and texts.

With paths, lists what these files or folders still have, allowed or not. With --lower, lowers the
numbers in allowed.txt to what is left; it never raises one.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from prose.files import ROOT, checked_files, file_offences
from prose.ratchet import ALLOWED, lowered, read_allowed, slack, too_many
from prose.rules import Offence


def main() -> int:
    parser = argparse.ArgumentParser(prog="prose", description=__doc__)
    parser.add_argument("paths", nargs="*", type=Path, help="files or folders to list")
    parser.add_argument("--lower", action="store_true", help="lower the numbers in allowed.txt")
    options = parser.parse_args()
    found = {path.relative_to(ROOT).as_posix(): file_offences(path) for path in checked_files()}
    if options.paths:
        return _list(found, [path.resolve() for path in options.paths])
    counts = {path: len(offences) for path, offences in found.items()}
    allowed = read_allowed(ALLOWED.read_text(encoding="utf-8"))
    if options.lower:
        ALLOWED.write_text(lowered(counts, allowed), encoding="utf-8")
        allowed = read_allowed(ALLOWED.read_text(encoding="utf-8"))
    return _check(found, counts, allowed)


def _list(found: dict[str, list[Offence]], places: list[Path]) -> int:
    for path, offences in found.items():
        if any((ROOT / path).is_relative_to(place) for place in places):
            _show(path, offences)
    return 0


def _check(found: dict[str, list[Offence]], counts: dict[str, int], allowed: dict[str, int]) -> int:
    worse = too_many(counts, allowed)
    for path in worse:
        _show(path, found[path])
        print(f"{path}: {counts[path]} offences, {allowed.get(path, 0)} allowed", file=sys.stderr)
    if better := slack(counts, allowed):
        print(f"prose: {len(better)} files improved; `python -m prose --lower` keeps that")
    print(
        f"prose: {len(found)} files, {sum(counts.values())} offences left, {len(worse)} files worse"
    )
    return 1 if worse else 0


def _show(path: str, offences: list[Offence]) -> None:
    for one in offences:
        print(f"{path}:{one.line}: {one.reason}\n    {one.sentence}")


if __name__ == "__main__":
    sys.exit(main())
