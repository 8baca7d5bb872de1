"""Organiser: sets a contest up: name, rules, teams, cars, forecasts and the order."""

from __future__ import annotations

from collections.abc import Sequence
from secrets import token_hex

from unspool.contest import Contest, Kind, drawn, parse_rules, rules_toml
from unspool.errors import InputError
from unspool.judging.log import Desk, said_number, said_text, same_name
from unspool.language import _
from unspool.store import Store

MOST_ENTRIES = 500
HEAVIEST_G = 100_000.0
OLDEST = 120.0
FURTHEST = 10_000.0  # of a forecast, in m or s


class Organiser(Desk):
    """Methods raise InputError if what is said cannot be, StoreError as the store does."""

    @classmethod
    def make(cls, store: Store, who: str, name: str, rules: str = "") -> Organiser:
        """A new contest. rules: TOML, "" for plain ones."""
        called, settings = said_text(_("name"), name), parse_rules(rules, _("the rules"))
        made = cls(store, store.contests.make(), who)
        made.note(Kind.NAMED, "setup", name=called)
        made.note(Kind.RULES, "setup", toml=rules_toml(settings))
        return made

    def rename(self, name: str) -> None:
        self.note(Kind.NAMED, "setup", name=said_text(_("name"), name))

    def set_rules(self, toml: str) -> None:
        self.open_contest()
        self.note(Kind.RULES, "setup", toml=rules_toml(parse_rules(toml, _("the rules"))))

    def enter(self, team: str, car: str, weight: str = "", age: str = "") -> int:
        """A car of a team, which may have others; returns its number. weight: g. age: years."""
        contest = self.open_contest()
        if len(contest.entries) >= MOST_ENTRIES:
            raise InputError(_("a contest has at most {most} cars", most=MOST_ENTRIES))
        named, called = said_text(_("team"), team), said_text(_("car"), car)
        weight_g, years = said_weight(weight), said_age(age)
        number = _team(contest, named)
        if number is not None and _has_car(contest, number, called):
            raise InputError(
                _(
                    "{team} has entered {car} already; give the car another name",
                    team=named,
                    car=called,
                )
            )
        number = number or self.note(Kind.TEAM, "setup", name=named)
        return self.note(Kind.ENTRY, "setup", team=number, car=called, weight_g=weight_g, age=years)

    def change(self, entry: int, car: str, weight: str = "", age: str = "") -> None:
        """What was entered of a car, as after the scales have been asked."""
        contest = self.open_contest()
        self._one(contest, entry)
        one, called = contest.entries[entry], said_text(_("car"), car)
        if not same_name(one.car, called) and _has_car(contest, one.team, called):
            raise InputError(
                _(
                    "{team} has entered {car} already; give the car another name",
                    team=contest.teams[one.team],
                    car=called,
                )
            )
        grams, years = said_weight(weight), said_age(age)
        self.note(Kind.ENTRY_CHANGED, "setup", entry=entry, car=called, weight_g=grams, age=years)

    def rename_team(self, team: str, name: str) -> None:
        """Its results stay its own: they belong to its number."""
        contest, called = self.contest, said_text(_("team"), name)
        number = _team(contest, team)
        if number is None:
            raise InputError(_("no team is called {team}", team=repr(team[:60])))
        if _team(contest, called) not in (None, number):
            raise InputError(_("another team is called {team} already", team=called))
        self.note(Kind.TEAM_RENAMED, "setup", team=number, name=called)

    def withdraw(self, entry: int) -> None:
        self._one(self.open_contest(), entry)
        self.note(Kind.WITHDRAWN, "setup", entry=entry)

    def forecast(self, entry: int, value: str) -> None:
        """Raises InputError once the car was called: then it is no forecast."""
        contest = self.open_contest()
        self._one(contest, entry)
        if any(one.called or one.repeated for one in contest.entries[entry].made()):
            raise InputError(_("a forecast comes before the first attempt is called"))
        self.note(
            Kind.FORECAST, "setup", entry=entry, value=said_number(_("forecast"), value, FURTHEST)
        )

    def draw(self, seed: str = "") -> str:
        """The order by lot; returns the seed, which makes one if none is given.

        Raises InputError once an attempt was called: then only single cars move.
        """
        contest = self.open_contest()
        if contest.calls:
            raise InputError(
                _("the order is drawn before the first attempt is called; move single cars instead")
            )
        chosen = said_text(_("seed"), seed or token_hex(4))
        entries = drawn([one.number for one in contest.competing()], chosen)
        self.note(Kind.ORDER, "setup", entries=list(entries), seed=chosen)
        return chosen

    def set_order(self, entries: Sequence[int]) -> None:
        """By hand. Raises InputError if it is not each competing car once."""
        contest = self.open_contest()
        if sorted(entries) != sorted(one.number for one in contest.competing()):
            raise InputError(_("the order must name each car once"))
        self.note(Kind.ORDER, "setup", entries=list(entries), seed=None)

    def close(self) -> None:
        """The results are final."""
        self.open_contest()
        self.note(Kind.CLOSED, "setup")

    def _one(self, contest: Contest, entry: int) -> None:
        if entry not in contest.entries:
            raise InputError(_("the contest has no car with the number {number}", number=entry))


def said_weight(text: str) -> float | None:
    return said_number(_("weight"), text, HEAVIEST_G) if text.strip() else None


def said_age(text: str) -> float | None:
    return said_number(_("age"), text, OLDEST) if text.strip() else None


def _team(contest: Contest, name: str) -> int | None:
    return next((n for n, team in contest.teams.items() if same_name(team, name)), None)


def _has_car(contest: Contest, team: int, car: str) -> bool:
    cars = (one.car for one in contest.entries.values() if one.team == team and not one.withdrawn)
    return any(same_name(one, car) for one in cars)
