"""Who runs when on which board, and what the generator knows of it: all invented."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

import numpy as np

from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

CARS = {  # by team
    "Reed": "Sandpiper",
    "Rushes": "Dunlin",
    "Sedge": "Knot",
    "Sorrel": "Curlew",
    "Yarrow": "Plover",
}
TEAMS = tuple(CARS)
ATTEMPTS = 3
BOARDS = 8
HERE = range(5)  # boards that the hall's own computer records: one a team
THERE = range(5, BOARDS)  # at the station: spare boards, for the later attempts of three teams
BEFORE_S = 3.0  # a car rests before it is wound
PENALTY = "touched on the way"
PENALTY_M = 0.5


def board_of(team: str, attempt: int) -> int:
    place = TEAMS.index(team)
    return place if attempt == 1 or place >= len(THERE) else THERE[place]


@cache
def script_of(team: str, attempt: int) -> WheelScript:
    """One attempt; no two are wound alike."""
    share = np.random.default_rng([TEAMS.index(team), attempt]).uniform(0.6, 1.0)
    turns = tuple(float(share * tier.turns) for tier in sandpiper().drum)
    seed = 10 * TEAMS.index(team) + attempt
    return wheel_script(sandpiper(), corridor(), 1, seed, BEFORE_S, (turns,))


def tape_of(team: str, attempt: int) -> float:
    """What an exact tape shows, in m."""
    return round(script_of(team, attempt).truths[0].furthest_m, 2)


@dataclass(frozen=True)
class Place:
    place: int
    team: str
    score: float


def scores(team: str, penalties: Mapping[tuple[str, int], float]) -> list[float]:
    """Of its attempts, from the truth alone. penalties: in m, by team and attempt."""
    every = range(1, ATTEMPTS + 1)
    return [round(tape_of(team, one) - penalties.get((team, one), 0.0), 2) for one in every]


def ranking(penalties: Mapping[tuple[str, int], float]) -> list[Place]:
    """By the best attempt."""
    best = sorted(((max(scores(team, penalties)), team) for team in TEAMS), reverse=True)
    assert len({score for score, _ in best}) == len(TEAMS), "ties would be decided by more rules"
    return [Place(at, team, score) for at, (score, team) in enumerate(best, 1)]
