"""Freezes all answers, or compares today's with frozen ones.

PYTHONPATH=host:tests python -m corpus freeze OUT.json
PYTHONPATH=host:tests python -m corpus compare OUT.json --jobs 2 --only 'reading/*' 'plan/*'
PYTHONPATH=host:tests python -m corpus small        writes the committed small part again
"""

from __future__ import annotations

import json
import sys
import time
from argparse import ArgumentParser, Namespace
from collections import Counter
from collections.abc import Sequence
from fnmatch import fnmatch
from pathlib import Path
from typing import Any

from corpus.cases import SMALL, cases
from corpus.comparing import Moved, case_moved, summary
from corpus.small import write_small
from corpus.working import answers


def main(words: Sequence[str]) -> int:
    given = _given(words)
    names = [name for name in cases() if _wanted(name, given.only)]
    if given.act == "compare":
        return _compare(given, names)
    result = dict(answers(SMALL if given.act == "small" else names, given.jobs))
    crashed = {name: one["crashed"] for name, one in result.items() if "crashed" in one}
    if crashed:
        print(*(f"{name}: {why}" for name, why in crashed.items()), sep="\n")
        return 1
    if given.act == "small":
        write_small(result)
    else:
        given.file.write_text(_json(result), encoding="utf-8")
    print(f"{len(result)} answers")
    return 0


def _given(words: Sequence[str]) -> Namespace:
    parser = ArgumentParser(prog="corpus", description="Freeze and compare the corpus of answers.")
    parser.add_argument("act", choices=["freeze", "compare", "small"])
    parser.add_argument("file", type=Path, nargs="?", help="the frozen answers")
    parser.add_argument("--only", nargs="+", default=["*"], help="patterns of case names")
    parser.add_argument("--jobs", type=int, default=1, help="processes to use")
    parser.add_argument(
        "--within", type=float, default=0.0, help="share up to which numbers may differ"
    )
    parser.add_argument("--show", type=int, help="print so many of what moved; all if not given")
    given = parser.parse_args(words)
    if given.act != "small" and given.file is None:
        parser.error("name the file of the frozen answers")
    return given


def _wanted(name: str, patterns: Sequence[str]) -> bool:
    return any(fnmatch(name, pattern) for pattern in patterns)


def _json(result: dict[str, Any]) -> str:
    rows = (f"{json.dumps(name)}: {json.dumps(one)}" for name, one in result.items())
    return "{\n" + ",\n".join(rows) + "\n}\n"


def _compare(given: Namespace, names: Sequence[str]) -> int:
    begun = time.monotonic()
    frozen = json.loads(given.file.read_text(encoding="utf-8"))
    gone = [name for name in frozen if _wanted(name, given.only) and name not in cases()]
    found = [Moved(f"{name}:", "a case", "no case", None) for name in gone]
    asked: Counter[str] = Counter()
    for name, result in answers(names, given.jobs):
        asked[name.split("/")[0]] += 1
        found += case_moved(name, frozen.get(name, "no case"), result, given.within)
    for one in found[: given.show]:
        print(one)
    print(*summary(found, asked), sep="\n")
    print(f"{len(found)} of all values moved; {time.monotonic() - begun:.0f} s")
    return int(bool(found))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
