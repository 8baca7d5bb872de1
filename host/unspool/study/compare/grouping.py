"""Grouping: which runs belong together, by what was changed between them.

Groups are named in the reader's language, as runs are.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from unspool.language import _, localised
from unspool.study.compare.types import ComparedRun

Labelled = list[tuple[str, list[ComparedRun]]]

# A quarter of a turn is as near as a drum is wound to by hand and eye.
SAME_TURNS = 0.25


def _weight(run: ComparedRun) -> str:
    mass = localised(f"{1e3 * run.car.weight_mass_kg:.0f} g")
    return _("{mass} weight", mass=mass)


def _wheel(run: ComparedRun) -> str:
    across = localised(f"{2e3 * run.car.driven_wheel.radius_m:.1f} mm")
    return _("{across} wheel", across=across)


_LABELS: dict[str, Callable[[ComparedRun], str]] = {
    "weight": _weight,
    "wheel": _wheel,
    "car": lambda run: run.car.name,
    "track": lambda run: run.track or _("level track"),
    "note": lambda run: " ".join(run.note.split()) or _("no note"),
}
ASPECTS = ("winding", *_LABELS)


def group(runs: Sequence[ComparedRun], by: str) -> Labelled:
    """Groups with their names, in the order in which their first runs come.

    Names are people's words: "sandpiper" is "Sandpiper", in whichever case the first run has it.
    """
    if by == "winding":
        return _by_winding(runs)
    groups: dict[str, tuple[str, list[ComparedRun]]] = {}
    for run in runs:
        label = _LABELS[by](run)
        groups.setdefault(label.casefold(), (label, []))[1].append(run)
    return list(groups.values())


def mixed(runs: Sequence[ComparedRun], by: str) -> list[tuple[str, list[str]]]:
    """What differs within a group that should differ only between groups: aspect and its labels.

    Notes may differ freely.
    """
    others = [aspect for aspect in ASPECTS if aspect not in (by, "note")]
    labels = ((aspect, [label for label, _runs in group(runs, aspect)]) for aspect in others)
    return [(aspect, found) for aspect, found in labels if len(found) > 1]


def _by_winding(runs: Sequence[ComparedRun]) -> Labelled:
    """Windings are counted, not set: those within SAME_TURNS of one another on each tier are one.

    Taken from the least wound up, so that the groups do not depend on the order of the runs.
    """
    groups: list[list[ComparedRun]] = []
    for run in sorted(runs, key=_drum_key):
        same = next((found for found in groups if _near(found[0], run)), None)
        if same is None:
            groups.append([run])
        else:
            same.append(run)
    place = {id(run): i for i, run in enumerate(runs)}
    ordered = [sorted(found, key=lambda run: place[id(run)]) for found in groups]
    ordered.sort(key=lambda found: place[id(found[0])])
    return [(name, found) for name, found in zip(_names(ordered), ordered, strict=True)]


def _drum_key(run: ComparedRun) -> tuple[tuple[str, ...], tuple[float, ...]]:
    return _tier_keys(run), run.reading.winding


def _tiers(run: ComparedRun) -> tuple[str, ...]:
    return tuple(tier.name for tier in run.car.drum)


def _tier_keys(run: ComparedRun) -> tuple[str, ...]:
    return tuple(name.casefold() for name in _tiers(run))


def _near(one: ComparedRun, other: ComparedRun) -> bool:
    if _tier_keys(one) != _tier_keys(other):
        return False
    turns = zip(one.reading.winding, other.reading.winding, strict=True)
    return all(abs(a - b) <= SAME_TURNS for a, b in turns)


def _names(groups: Sequence[Sequence[ComparedRun]]) -> list[str]:
    """With one decimal if that separates the groups, else with two."""
    for digits in (1, 2):
        names = [_name(found, digits) for found in groups]
        if len(set(names)) == len(names):
            return names
    return [f"{name} ({i + 1})" for i, name in enumerate(names)]


def _name(runs: Sequence[ComparedRun], digits: int) -> str:
    """ "3.5 start + 5.3 run": the turns on each tier that was wound, on average."""
    windings = [run.reading.winding for run in runs]
    means = [sum(turns) / len(turns) for turns in zip(*windings, strict=True)]
    parts = [
        f"{localised(format(turns, f'.{digits}f'))} {tier}"
        for tier, turns in zip(_tiers(runs[0]), means, strict=True)
        if turns >= 0.05
    ]
    return " + ".join(parts) or _("nothing wound")
