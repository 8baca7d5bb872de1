"""Cars and tracks as the store knows them: a name, its versions, and who chose which."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class How(StrEnum):
    """Why a version is in the history."""

    SAVED = "saved"  # somebody wrote it, or chose it again
    RUN = "run"  # a run brought it along
    AWAY = "away"  # nobody uses the car any more: it is no longer offered


@dataclass(frozen=True)
class Version:
    """One text that a car or a track had. `number` counts them from 1, the oldest first.

    runs: ids of those that have it now. sheet: the store's own number of the text.
    """

    number: int
    sheet: int
    name: str
    text: str
    made_at: datetime
    who: str
    how: How
    runs: tuple[str, ...] = ()


@dataclass(frozen=True)
class Chosen:
    """A line of the history: from then on the version of that number was used, or put away."""

    made_at: datetime
    who: str
    how: How
    number: int


@dataclass(frozen=True)
class Shelved:
    """A car or a track under its name, with all its versions, the oldest first.

    current: the one that new runs take. It is what somebody saved last. If nobody saved any, it is
    the newest that a run brought along. revision: grows with each line of the history.
    """

    name: str
    current: Version
    versions: tuple[Version, ...]
    history: tuple[Chosen, ...]
    revision: int
    away: bool = False

    @property
    def runs(self) -> tuple[str, ...]:
        """The ids of all its runs."""
        return tuple(run for version in self.versions for run in version.runs)

    def version(self, number: int) -> Version | None:
        return next((one for one in self.versions if one.number == number), None)
