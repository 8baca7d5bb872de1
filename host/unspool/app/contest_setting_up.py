"""What the buttons of an organiser's page do."""

from __future__ import annotations

from collections.abc import Callable

from unspool.app.contest_rules_sent import rules_sent
from unspool.app.contest_sent import done, number
from unspool.app.sent import Sent
from unspool.judging import Organiser
from unspool.judging.several import enter_all, pasted_cars, try_out
from unspool.language import _, many


def _rename_team(by: Organiser, sent: Sent) -> str:
    old, new = sent.get("team", ""), sent.get("name", "")
    return done(lambda: by.rename_team(old, new), _("Renamed."))


def _enter(by: Organiser, sent: Sent) -> str:
    given = (sent.get(name, "") for name in ("team", "car", "weight", "age"))
    entry = by.enter(*given)
    if sent.get("forecast", "").strip():
        by.forecast(entry, sent["forecast"])
    return _("Entered.")


def _change(by: Organiser, sent: Sent) -> str:
    """The car, its team's name, and its forecast if another one is given."""
    entry, contest = number(sent, "entry"), by.contest
    by.change(entry, *(sent.get(name, "") for name in ("car", "weight", "age")))
    before = contest.entries[entry]
    if sent.get("team", "").strip() not in ("", contest.teams[before.team]):
        by.rename_team(contest.teams[before.team], sent["team"])
    if sent.get("forecast", "").strip():
        by.forecast(entry, sent["forecast"])
    return _("Changed.")


def _move(by: Organiser, sent: Sent) -> str:
    """A car one place up or down."""
    entry, order = number(sent, "entry"), [one.number for one in by.contest.competing()]
    step = 1 if sent.get("to") == "down" else -1
    if entry in order and 0 <= (to := order.index(entry) + step) < len(order):
        order.remove(entry)
        order.insert(to, entry)
        by.set_order(order)
    return _("Moved.")


def _rules(by: Organiser, sent: Sent) -> str:
    return done(lambda: by.set_rules(sent.get("rules", "")), _("The rules are kept."))


def _rules_form(by: Organiser, sent: Sent) -> str:
    return done(lambda: by.set_rules(rules_sent(sent)), _("The rules are kept."))


def _enter_several(by: Organiser, sent: Sent) -> str:
    cars = pasted_cars(sent.get("cars", ""))
    try_out(by.contest, cars)
    enter_all(by, cars)
    return many("{count} car is entered.", "{count} cars are entered.", len(cars))


def _withdraw(by: Organiser, sent: Sent) -> str:
    return done(lambda: by.withdraw(number(sent, "entry")), _("Withdrawn."))


def _forecast(by: Organiser, sent: Sent) -> str:
    entry, value = number(sent, "entry"), sent.get("forecast", "")
    return done(lambda: by.forecast(entry, value), _("Noted."))


def _draw(by: Organiser, sent: Sent) -> str:
    return _("Drawn with the seed {seed}.", seed=by.draw(sent.get("seed", "")))


SET_UP: dict[str, Callable[[Organiser, Sent], str]] = {
    "rename": lambda by, sent: done(lambda: by.rename(sent.get("name", "")), _("Renamed.")),
    "rules": _rules,
    "rules-form": _rules_form,
    "enter": _enter,
    "enter-several": _enter_several,
    "change": _change,
    "rename-team": _rename_team,
    "withdraw": _withdraw,
    "forecast": _forecast,
    "draw": _draw,
    "move": _move,
    "close": lambda by, _sent: done(by.close, _("Closed: the results are final.")),
}
