"""Command lines made up of every command's own options, with values that fit and that do not."""

from __future__ import annotations

import random
import shlex
from functools import cache
from pathlib import Path

import typer

from hard.asking import ask
from hard.files import edges
from hard.hard_class import HardClass, Tried
from hard.rule import broken
from unspool.cli import commands
from unspool.virtual.demo.scenario import CORRIDOR, DUNLIN, SANDPIPER

FITTING = {
    "--car": (str(SANDPIPER), str(DUNLIN)),
    "--track": (str(CORRIDOR),),
    "--out": ("a.svg", "a.html", "a.pdf", "a.toml"),
    "--csv": ("a.csv",),
    "--html": ("a.html",),
    "--track-out": ("t.toml",),
    "--store": ("s.sqlite",),
    "--cable": ("no/such", "/dev/null"),
    "--radio": ("nobody",),
    "--replay": ("one.csv", "gone.bin"),
    "--port": ("no/such/port",),
    "--goal": ("farthest", "fastest", "reach"),
    "--turns": ("start=2.5,run=6", "start=1", "3"),
    "--back": ("1=2.5", "one.csv=3"),
    "--edges": ("20",),
    "--form": ("cut", "print"),
    "--by": ("winding", "car", "note"),
}
NUMBERS = ("0", "1", "2.5", "12", "20", "56", "0.3")
HOSTILE = (
    *("", " ", "-", "--", "---", "=", "-1", "0", "nan", "-inf", "1e400", "1e-320", "9" * 500),
    *(
        "x" * 300,
        "x" * 100_000,
        "/",
        ".",
        "..",
        "~",
        "/dev/zero",
        "/dev/null",
        "/dev/full",
        "/proc",
    ),
    *("no/such/file", "a\nb", "\x1b[31m", "\u202eabc", "\udcff", "é", "🚗", "%s%n", "{}", "$(id)"),
    *("one.csv/in", "start=", "=2", "start=nan", "start=1e308", "start=1,start=2", "1=", "=1"),
    *("/dev/zero", "nonsense:x", "/dev/null", ":"),
    *("-h", "--help", "--version", "--no-such", "--json=1", "--j", "one.csv", str(SANDPIPER)),
)
PLACES = ("one.csv", "two.csv", str(SANDPIPER), "1", "99999999999999999999", "0", "1-2")
# These serve or look around until somebody stops them: only ever with something that ends them.
ENDLESS = {"app": ("--port", "x"), "demo": ("--speed", "0"), "links": ("--no-such",)}
ALWAYS = {"record": ("--no-page",), "flash": (), "shortcut": ("--no-such",)}


@cache
def _options() -> dict[str, tuple[tuple[str, bool], ...]]:
    """Each command's options, and whether each takes a value."""
    found = {}
    for name, command in typer.main.get_command(commands.app).commands.items():
        options = [p for p in command.params if p.param_type_name == "option"]
        found[name] = tuple(
            (opt, not p.is_flag) for p in options for opt in (*p.opts, *p.secondary_opts)
        )
    return found


def line(rng: random.Random) -> list[str]:
    """One command line."""
    name = rng.choice(sorted(_options()))
    words = [_place(rng) for _ in range(rng.choice((0, 1, 1, 1, 2, 3)))]
    offered = [o for o in _options()[name] if o[0] not in ("--build", "--page", "--browser")]
    for option, takes in rng.sample(offered, min(len(offered), rng.randrange(0, 6))):
        words += [option, _value(rng, option)] if takes else [option]
    if rng.random() < 0.2:
        words.insert(rng.randrange(len(words) + 1), rng.choice(HOSTILE))
    if name in ENDLESS:
        words = [word for word in words if word not in ("--help", "-h", "--")]
    words = [word for word in words if word not in ("--page", "--browser", "--build")]
    # Last, because of an option that is given twice the last counts.
    return [name, *ALWAYS.get(name, ()), *words, *ENDLESS.get(name, ())]


def _place(rng: random.Random) -> str:
    return rng.choice(PLACES if rng.random() < 0.7 else HOSTILE)


def _value(rng: random.Random, option: str) -> str:
    if rng.random() < 0.35:
        return rng.choice(HOSTILE)
    return rng.choice(FITTING.get(option, NUMBERS))


def case(rng: random.Random, place: Path) -> Tried:
    (place / "one.csv").write_text(edges())
    (place / "two.csv").write_text(edges(5))
    words = [word for word in line(rng) if "\0" not in word]
    told = " ".join(word if len(word) < 200 else f"{word[:20]}...({len(word)})" for word in words)
    return Tried(shlex.quote(told), broken(ask(words, place)))


CLASSES = (
    HardClass(
        "arguments", "every command's options with values that fit or do not", 1500, 12, case
    ),
)
