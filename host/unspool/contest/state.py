"""Contest: what the events of a contest add up to."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from unspool.contest.events import Event, Kind, alive
from unspool.contest.rules import Class, Penalty, Rules
from unspool.contest.rules_file import parse_rules

RESULTS = frozenset({Kind.TAPE, Kind.TIMED, Kind.RUN, Kind.PENALTY})


@dataclass(frozen=True)
class Wheel:
    """What the board on the car measured, in m and s. run: the attempt's run in the store."""

    run: str
    furthest_m: float | None
    resting_m: float | None
    time_s: float | None


@dataclass
class Attempt:
    """entry, number: whose, and which of its attempts, from 1; extra ones are for a run-off.

    revision: the number of its last event, undone ones too.
    """

    entry: int
    number: int
    called: bool = False
    tape_m: float | None = None
    tape_by: str = ""
    doubted: tuple[tuple[str, float], ...] = ()  # who, metres
    time_s: float | None = None
    wheel: Wheel | None = None
    penalties: tuple[Penalty, ...] = ()
    remarks: tuple[str, ...] = ()
    repeated: bool = False
    revision: int = 0

    @property
    def void(self) -> bool:
        return any(one.void for one in self.penalties)


@dataclass
class Entry:
    """A car of a team. team: its number. attempts: by their numbers."""

    number: int
    team: int
    car: str
    weight_g: float | None = None
    age: float | None = None
    forecast: float | None = None
    withdrawn: bool = False
    attempts: dict[int, Attempt] = field(default_factory=dict)

    def made(self) -> list[Attempt]:
        return [self.attempts[number] for number in sorted(self.attempts)]

    def class_in(self, rules: Rules) -> str:
        """The first class that it fits, "" for none."""
        return next((one.name for one in rules.classes if _fits(self, one)), "")


@dataclass
class Contest:
    """order: entries in the order of their attempts. seed: None if it was set by hand.

    calls: attempts by entry and number, the last call last. Those to be repeated are left out.

    measured: the attempt of the last result. run_offs: the number of an extra attempt, and who
    makes it.
    """

    name: str = ""
    rules: Rules = field(default_factory=Rules)
    teams: dict[int, str] = field(default_factory=dict)
    entries: dict[int, Entry] = field(default_factory=dict)
    order: tuple[int, ...] = ()
    seed: str | None = None
    calls: tuple[tuple[int, int], ...] = ()
    measured: tuple[int, int] | None = None
    run_offs: tuple[tuple[int, tuple[int, ...]], ...] = ()
    closed: bool = False
    revision: int = 0

    @property
    def called(self) -> tuple[int, int] | None:
        """The attempt that was called last and still counts."""
        return self.calls[-1] if self.calls else None

    def attempt(self, entry: int, number: int) -> Attempt:
        """As it stands; one of which nothing was noted is empty."""
        return self.entries[entry].attempts.get(number, Attempt(entry, number))

    def competing(self) -> list[Entry]:
        """The entries that were not withdrawn, in order; those that came later follow."""
        rest = [one for one in self.entries if one not in self.order]
        every = [self.entries[n] for n in (*self.order, *rest) if n in self.entries]
        return [one for one in every if not one.withdrawn]

    def title(self, entry: Entry) -> str:
        """The team and the car."""
        return f"{self.teams.get(entry.team, '')}, {entry.car}"


def contest_of(events: Sequence[Event]) -> Contest:
    """The contest after those events, in the order of their numbers.

    Raises InputError if its rules cannot be read.
    """
    found = Contest()
    every = tuple(sorted(events, key=lambda event: event.number))
    for event in alive(every):
        _take(found, event)
    for event in every:
        _revise(found, event, every)
    return found


def attempt_key(event: Event) -> tuple[int, int] | None:
    """The entry and the number of the attempt that the event is about."""
    data = event.data
    return (data["entry"], data["attempt"]) if "attempt" in data else None


def _revise(found: Contest, event: Event, every: tuple[Event, ...]) -> None:
    found.revision = event.number
    about = event
    while about.kind is Kind.UNDONE:
        about = next(one for one in every if one.number == about.data["event"])
    key = attempt_key(about)
    if key and key[0] in found.entries:
        _attempt(found, *key).revision = event.number


def _take(found: Contest, event: Event) -> None:
    data = event.data
    if "attempt" in data:
        if data["entry"] in found.entries:
            _take_attempt(found, event)
        return
    match event.kind:
        case Kind.NAMED:
            found.name = data["name"]
        case Kind.RULES:
            found.rules = parse_rules(data["toml"], "the rules")
        case Kind.TEAM:
            found.teams[event.number] = data["name"]
        case Kind.TEAM_RENAMED if data["team"] in found.teams:
            found.teams[data["team"]] = data["name"]
        case Kind.ORDER:
            found.order, found.seed = tuple(data["entries"]), data["seed"]
        case Kind.RUN_OFF:
            found.run_offs += ((data["number"], tuple(data["entries"])),)
        case Kind.CLOSED:
            found.closed = True
        case _:
            _take_entry(found, event)


def _take_entry(found: Contest, event: Event) -> None:
    data = event.data
    if event.kind is Kind.ENTRY:
        weight, age = data.get("weight_g"), data.get("age")
        found.entries[event.number] = Entry(event.number, data["team"], data["car"], weight, age)
    elif entry := found.entries.get(data.get("entry", 0)):
        if event.kind is Kind.FORECAST:
            entry.forecast = data["value"]
        elif event.kind is Kind.ENTRY_CHANGED:
            entry.car, entry.weight_g, entry.age = (data[n] for n in ("car", "weight_g", "age"))
        elif event.kind is Kind.WITHDRAWN:
            entry.withdrawn = True


def _take_attempt(found: Contest, event: Event) -> None:
    data = event.data
    one, key = _attempt(found, data["entry"], data["attempt"]), (data["entry"], data["attempt"])
    others = tuple(call for call in found.calls if call != key)
    if event.kind in RESULTS:
        found.measured = key
    match event.kind:
        case Kind.CALLED:
            one.called, found.calls = True, (*others, key)
        case Kind.REPEATED:
            found.entries[one.entry].attempts[one.number] = Attempt(*key, repeated=True)
            found.calls = others
            found.measured = None if found.measured == key else found.measured
        case Kind.TAPE:
            one.tape_m, one.tape_by = data["metres"], event.who
        case Kind.DOUBTED:
            one.doubted += ((event.who, data["metres"]),)
        case Kind.TIMED:
            one.time_s = data["seconds"]
        case Kind.REMARK:
            one.remarks += (data["text"],)
        case Kind.PENALTY:
            names = ("name", "metres", "seconds", "void")
            one.penalties += (Penalty(**{name: data[name] for name in names}),)
        case Kind.RUN:
            of = ("furthest_m", "resting_m", "time_s")
            one.wheel = Wheel(data["run"], *(data[name] for name in of))


def _attempt(found: Contest, entry: int, number: int) -> Attempt:
    return found.entries[entry].attempts.setdefault(number, Attempt(entry, number))


def _fits(entry: Entry, one: Class) -> bool:
    return _within(entry.weight_g, one.weight_min_g, one.weight_max_g) and _within(
        entry.age, one.age_min, one.age_max
    )


def _within(value: float | None, low: float | None, high: float | None) -> bool:
    """A value that is not known fits only what asks for none."""
    if value is None:
        return low is None and high is None
    return (low is None or value >= low) and (high is None or value <= high)
