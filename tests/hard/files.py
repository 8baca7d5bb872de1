"""Car, track and edge files, spoilt at random, for every command that reads them."""

from __future__ import annotations

import random
import shlex
import subprocess
import sys
from functools import cache
from pathlib import Path

from cli.shell import environment
from hard.asking import Done, ask
from hard.edge_rows import odd_edges
from hard.hard_class import HardClass, Tried
from hard.mutation import mutated
from hard.rule import broken
from unspool.reading.edges.edge_file import edge_text
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER, corridor, sandpiper
from unspool.virtual.truth import run

CARS, TRACK = (SANDPIPER, DUNLIN), CORRIDOR
OF_A_CAR = (
    *("predict {} --json",) * 6,
    "predict {}",
    f"predict {{}} --track {TRACK} --json",
    "plan {} --json",
    "plan {} --goal reach --distance 8 --json",
    "card {} --out card.html",
    "card {} --out card.pdf",
    "rollout one.csv --car {} --length 2.0 --json",
    *("analyse one.csv --car {} --json",) * 2,
    "import one.csv --car {} --json",
)
OF_A_TRACK = (
    *(f"predict {SANDPIPER} --track {{}} --json",) * 4,
    f"plan {SANDPIPER} --track {{}} --json",
    f"analyse one.csv --car {SANDPIPER} --track {{}} --json",
)
OF_EDGES = (
    *(f"analyse {{}} --car {SANDPIPER} --json",) * 4,
    f"analyse {{}} --car {SANDPIPER}",
    f"analyse {{}} --car {DUNLIN} --html page.html",
    f"compare {{}} one.csv --car {SANDPIPER} --json",
    f"calibrate {{}} one.csv --car {SANDPIPER} --json",
    f"rollout {{}} --car {SANDPIPER} --length 2.0 --json",
    f"import {{}} --car {SANDPIPER} --json",
)


@cache
def edges(seed: int = 4) -> str:
    """An edge file of one run that is as it should be."""
    return edge_text(run(sandpiper(), corridor(), seed=seed).train)


def car_case(rng: random.Random, place: Path) -> Tried:
    text = rng.choice(CARS).read_text()
    return _asked(rng, place, OF_A_CAR, "odd.toml", mutated(rng, text))


def track_case(rng: random.Random, place: Path) -> Tried:
    return _asked(rng, place, OF_A_TRACK, "odd.toml", mutated(rng, TRACK.read_text()))


def edge_case(rng: random.Random, place: Path) -> Tried:
    text = edges()
    data = odd_edges(rng).encode() if rng.random() < 0.4 else mutated(rng, text)
    return _asked(rng, place, OF_EDGES, "odd.csv", data)


def process_case(rng: random.Random, place: Path) -> Tried:
    """One of the above as the process that a user starts, interpreter and all."""
    (place / "odd").write_bytes(mutated(rng, rng.choice((edges(), SANDPIPER.read_text()))))
    (place / "one.csv").write_text(edges())
    line = rng.choice((*OF_A_CAR[:3], *OF_EDGES[:2])).format("odd")
    done = subprocess.run(
        [sys.executable, "-m", "unspool", *shlex.split(line)],
        capture_output=True,
        check=False,
        cwd=place,
        timeout=120,
        env=environment(place),
    )
    out, err = done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")
    return Tried(line, broken(Done(tuple(line.split()), done.returncode, out, err, 0.0, 0.0)))


def _asked(
    rng: random.Random, place: Path, lines: tuple[str, ...], name: str, data: bytes
) -> Tried:
    (place / name).write_bytes(data)
    (place / "one.csv").write_text(edges())
    line = rng.choice(lines).format(name)
    return Tried(line, broken(ask(shlex.split(line), place)))


CLASSES = (
    HardClass("cars", "car files with bytes, lines, values or units spoilt", 1200, 8, car_case),
    HardClass("tracks", "track files, the same", 600, 4, track_case),
    HardClass("edges", "edge files, the same, and edges that no wheel makes", 1200, 5, edge_case),
    HardClass("processes", "a sample of these as processes of their own", 60, 1, process_case),
)
