"""The banner: one line of truth above every page.

What keeps a run from being recorded outranks the car's phase: "Ready to wind" is said only if a
board answers, and nothing is wrong with it. That the page lost its server is for the page itself to
see; assets/server.js says so in the same place.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from enum import StrEnum
from math import isfinite
from typing import Any

from unspool.app.live_status import LiveStatus
from unspool.instrument.codes import RecordCode
from unspool.instrument.record.notices import Phase
from unspool.language import _, later, many
from unspool.render.words.board import board_name
from unspool.render.words.units import quantity
from unspool.render.words.values import as_sentence, joined

CAUTION = later("The weight is up: keep hands and feet from under it.")
CLEAR = later("Clear the run-out, then let go.")
# What is said of a board that is linked, by the code of its trouble.
_TROUBLES: dict[str, str] = {
    RecordCode.BOARD_SILENT: later("Silent board"),
    RecordCode.EDGES_DO_NOT_ARRIVE: later("Edges do not arrive"),
    RecordCode.STORE_WAITS: later("Store cannot be written"),
}
_RESTARTS = (RecordCode.BOARD_RESTARTED, RecordCode.BOARD_RESET)


class Tone(StrEnum):
    """How the banner looks; its words say the same."""

    QUIET = "quiet"
    ALARM = "alarm"
    READY = "ready"
    WINDING = "winding"
    WOUND = "wound"
    RUNNING = "running"
    ENDED = "ended"


@dataclass(frozen=True)
class Banner:
    tone: Tone
    headline: str
    advice: str = ""


def banner(s: LiveStatus) -> Banner:
    """What is most important now."""
    return next(found for judge in _BY_RANK for found in judge(s))


def banner_json(shown: Banner) -> dict[str, Any]:
    return asdict(shown)


def _unlinked(s: LiveStatus) -> Iterator[Banner]:
    if s.car is None and not s.recorded:
        if s.ended_by:
            yield Banner(Tone.ALARM, _("Recording ended"), as_sentence(s.ended_by))
        advice = _("Choose car, floor and board, and start the recording.")
        yield Banner(Tone.QUIET, _("Nothing is recorded"), advice)
    elif not s.link_up and s.lost_at is not None:
        goes_on = _("The attempt goes on when it is back.") if s.phase is Phase.RUNNING else ""
        since = _("Link lost since {time}", time=format(s.lost_at.astimezone(), "%H:%M:%S"))
        yield Banner(Tone.ALARM, since, joined(s.link_text, goes_on, _care(s)))
    elif not s.link_up:
        why = s.link_text or _("Plug the board in, or switch its radio on.")
        yield Banner(Tone.QUIET, _("No board"), why)


def _silent(s: LiveStatus) -> Iterator[Banner]:
    if s.link_code == RecordCode.NO_BOARD_ANSWERS:
        yield Banner(Tone.ALARM, _("Silent board"), s.link_text)
    if s.trouble_code in _TROUBLES:
        yield Banner(Tone.ALARM, _(_TROUBLES[s.trouble_code]), s.trouble_text)
    if s.phase is Phase.NO_LINK:
        yield Banner(Tone.QUIET, _("Waiting for the board"), s.link_text)


def _carless(s: LiveStatus) -> Iterator[Banner]:
    if s.needs_car:
        new = _("{board} is new here: choose its car. All that it sends is kept.")
        unnamed = _("The board has no car: choose it. All that it sends is kept.")
        advice = new.format(board=board_name(s.board)) if s.board else unnamed
        yield Banner(Tone.ALARM, _("Which car?"), advice)


def _cut_off(s: LiveStatus) -> Iterator[Banner]:
    if s.missed and s.phase in (Phase.RUNNING, Phase.ENDED):
        gone = many(
            "{count} edge of this attempt did not arrive.",
            "{count} edges of this attempt did not arrive.",
            s.missed,
        )
        yield Banner(Tone.ALARM, _("Cut off"), gone)
    # With nothing wound and no run, a restart cuts nothing off.
    if s.trouble_code in _RESTARTS and s.phase is not Phase.WAITING:
        yield Banner(Tone.ALARM, _("Cut off"), s.trouble_text)


def _battery(s: LiveStatus) -> Iterator[Banner]:
    if s.battery_low:
        volts = quantity(s.battery_v, "V")
        charge = _("{volts}: charge it before the next attempt.", volts=volts)
        yield Banner(Tone.ALARM, _("Battery low"), joined(charge, _care(s)))


def _care(s: LiveStatus) -> str:
    return _(CAUTION) if s.phase in (Phase.WINDING, Phase.READY) else ""


def _phase(s: LiveStatus) -> Iterator[Banner]:
    match s.phase:
        case Phase.WINDING:
            yield Banner(Tone.WINDING, _("Winding"), _(CAUTION))
        case Phase.READY:
            yield Banner(Tone.WOUND, _("Wound"), joined(_(CAUTION), _(CLEAR)))
        case Phase.RUNNING:
            yield Banner(Tone.RUNNING, _("Running"), expectation(s))
        case Phase.ENDED | Phase.WAITING if s.done:
            yield Banner(Tone.ENDED, _("All attempts are done"), _(s.done))
        case Phase.ENDED:
            yield Banner(Tone.ENDED, _("Attempt over"), _("It is saved. Wind for the next one."))
        case _:
            advice = _("Turn the driven wheel backwards: its turns are counted here.")
            yield Banner(Tone.READY, _("Ready to wind"), advice)


_BY_RANK: tuple[Callable[[LiveStatus], Iterator[Banner]], ...] = (
    _unlinked,
    _silent,
    _carless,
    _cut_off,
    _battery,
    _phase,
)


def expectation(s: LiveStatus) -> str:
    """Where the car should stop, before the run says more."""
    if s.prediction is None:
        return ""
    low, high = s.prediction.distance_low_m, s.prediction.distance_high_m
    if not isfinite(high):
        return _("With the losses in its car file, nothing would stop this car.")
    return _(
        "Before the start, its stop was expected between {low} and {high}.",
        low=quantity(low, "m", 1),
        high=quantity(high, "m", 1),
    )
