"""What can be asked, as plain data: cars and tracks are the texts of their files."""

from __future__ import annotations

from dataclasses import dataclass, replace

from corpus.cars import Table, toml_text

Items = tuple[tuple[str, float], ...]
Names = tuple[str, ...]

# A hand-cut disc and an ordinary sensor, on a clock that was corrected.
USUAL: dict[str, float] = {"slot_sd": 0.02, "jitter_s": 50e-6, "tick_s": 0.5e-6, "missed": 0.003}
SANDPIPER, DUNLIN, CORRIDOR = "sandpiper", "dunlin", "corridor"


@dataclass(frozen=True)
class Run:
    """A true run of `car` on `track`, read as one of `said` on `said_track`.

    An empty track is a level floor. `spoil` names the imperfections of the truth generator.
    `changes` names what happens to the edges, in edges.py. With `wound` the edges of winding come
    first. `edges`, or pushes by hand from and to the times in `pushed`, replace the true run.
    """

    car: str
    said: str
    track: str = ""
    said_track: str = ""
    spoil: Items = ()
    seed: int = 0
    changes: Items = ()
    winding: tuple[float, ...] | None = None
    wound: bool = False
    edges: tuple[tuple[float, int], ...] | None = None
    pushed: tuple[tuple[float, float], ...] = ()

    def but(self, **changes: object) -> Run:
        return replace(self, **changes)


def run(
    car: Table,
    seed: int = 0,
    *,
    said: Table | None = None,
    track: Table | None = None,
    said_track: Table | None = None,
    spoil: dict[str, float] | None = None,
    changes: Items = (),
    **more: object,
) -> Run:
    """A run with the usual imperfections and those of `spoil`; said as it truly is if not given."""
    floor = toml_text(track) if track else ""
    return Run(
        car=toml_text(car),
        said=toml_text(said or car),
        track=floor,
        said_track=toml_text(said_track) if said_track else floor,
        spoil=tuple(sorted({**USUAL, **(spoil or {})}.items())),
        seed=seed,
        changes=changes,
        **more,
    )


@dataclass(frozen=True)
class Predicted:
    car: str
    track: str = ""


@dataclass(frozen=True)
class Calibrated:
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Learnt:
    """A prediction of `car` with what the runs say of the losses."""

    runs: tuple[Run, ...]
    car: str
    track: str = ""


@dataclass(frozen=True)
class Floor:
    """A slope profile; each run with its launch in m, and whether it went back."""

    runs: tuple[tuple[Run, float, bool], ...]
    spacing_m: float = 1.0


@dataclass(frozen=True)
class Rests:
    """The break-away of these runs."""

    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Planned:
    car: str
    track: str = ""
    goal: str = "farthest"
    mark_m: float | None = None
    limits: Items = ()
    weights_g: tuple[float, ...] = ()
    wheels_mm: tuple[float, ...] = ()
    runs: tuple[Run, ...] = ()


@dataclass(frozen=True)
class Card:
    car: str
    track: str = ""
    turns: tuple[float, ...] | None = None


@dataclass(frozen=True)
class Compared:
    """Runs with the note on each; in_turns: made one after the other in one sitting."""

    runs: tuple[tuple[Run, str], ...]
    by: str
    in_turns: bool = False


@dataclass(frozen=True)
class RolledOut:
    """Pushes by hand: the hand's figures and the seed of each; one disc for all."""

    car: str
    pushes: tuple[tuple[Items, int], ...]
    length_m: float = 5.0
    tape_sd_m: float = 0.003


@dataclass(frozen=True)
class Coasts:
    runs: tuple[Run, ...]


@dataclass(frozen=True)
class Ramp:
    rolls: tuple[tuple[float, float, float], ...]


@dataclass(frozen=True)
class Checked:
    """A sensor check: the bench's figures, the count in the car file and the turns made."""

    bench: Items
    expected: int | None = None
    turns: float | None = None


@dataclass(frozen=True)
class Watched:
    """A run followed live, edge by edge."""

    run: Run


Asked = (
    Run
    | Predicted
    | Calibrated
    | Learnt
    | Floor
    | Rests
    | Planned
    | Card
    | Compared
    | RolledOut
    | Coasts
    | Ramp
    | Checked
    | Watched
)
