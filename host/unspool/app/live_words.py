"""Track's texts, large enough to be read from three metres away."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from unspool.app.banner import banner, banner_json
from unspool.app.lane import lane_json
from unspool.app.live_status import Advised, LiveStatus
from unspool.app.tiers import turns_left
from unspool.instrument.record.notices import Phase
from unspool.render.words.attempt_result import went_words
from unspool.render.words.board import board_name
from unspool.render.words.reading_units import as_read, reading_of
from unspool.render.words.units import between, quantity

FINE_M = 0.5  # a narrower band is said in centimetres


def page_texts(status: LiveStatus) -> dict[str, Any]:
    """The texts of the page, by the name of their place."""
    return {
        "banner": banner_json(banner(status)),
        "phase": status.shown_phase.value,
        "answer": _outcome(status) if status.phase is Phase.ENDED else "",
        "ahead": _ahead(status),
        "stop": _stop(status),
        "dials": _dials(status),
        "link": _link(status),
        "battery": _battery(status),
        "lost": _lost(status),
        "trouble": status.trouble,
        "alarm": _alarm(status),
        "needs_car": status.needs_car,
        "at": _at(status),
        "beside": f"All {status.beside + 1} boards" if status.beside else "",
        "advised": asdict(status.advised or Advised()),
        "run": f"/attempts/{status.run_id}" if status.run_id else "",
    }


def _at(s: LiveStatus) -> str:
    """Which board it is, for a page beside those of other boards."""
    car = s.car.name if s.car else "car not known"
    return f"{board_name(s.board)}: {car}" if s.board else car


def _ahead(s: LiveStatus) -> str:
    """What drives now as expected, and what comes next."""
    if s.shown_phase is not Phase.RUNNING:
        return ""
    lane = lane_json(s)
    here = f"Now, as expected: {s.under_way}."
    if lane["next_m"] is None:
        return here
    return f"{here} Next: {lane['next']} in {quantity(lane['next_m'], 'm', 1)}."


def _stop(s: LiveStatus) -> str:
    """Where the car will stop, as far as can be said by now."""
    if s.stop is None or s.phase is Phase.ENDED:
        return ""
    low, high = s.stop.low_m, s.stop.high_m
    digits = 1 if high - low > FINE_M else 2
    return f"Stops between {between(low, high, 'm', digits, ' and ')} (90 %)."


def _outcome(s: LiveStatus) -> str:
    if s.result:
        return s.result
    if s.missed:
        place = quantity(s.distance_m, "m")
        return f"Last seen at {place}."  # until its reading says what the lost edges mean
    return went_words(s.distance_m, s.prediction, s.cause)


def _dials(s: LiveStatus) -> list[dict[str, str]]:
    """The three large figures, the most important first."""
    if s.shown_phase in (Phase.WAITING, Phase.WINDING, Phase.READY):
        expected = s.prediction.distance_m if s.prediction else None
        left = turns_left(s)
        return [
            _dial(f"left on {left[0]}", left[1], "turns") if left else _dial("left", None, "turns"),
            _dial("wound", s.wound_turns, "turns"),
            _dial("should roll", expected, "m"),
        ]
    if s.phase is Phase.ENDED:
        return [
            _dial("distance" if s.whole else "last seen at", s.distance_m, "m"),
            _dial("top speed", s.peak_m_s, "m/s"),
            _dial("should roll", s.prediction.distance_m if s.prediction else None, "m"),
        ]
    return [
        _dial("distance", s.distance_m, "m"),
        _dial("speed", s.speed_m_s, "m/s"),
        _dial("time", s.elapsed_s, "s"),
    ]


def _dial(label: str, value: float | None, unit: str) -> dict[str, str]:
    """Three digits for any size: more would not fit in large print."""
    if value is None:
        return {"label": label, "value": "?", "unit": reading_of(unit).unit}
    value, unit = as_read(value, unit)
    digits = 2 if abs(value) < 9.995 else 1 if abs(value) < 99.95 else 0
    return {"label": label, "value": quantity(value, "", digits), "unit": unit}


def _link(s: LiveStatus) -> str:
    state = "link up" if s.link_up else "link down"
    firmware = f"firmware {s.firmware}" if s.firmware else ""
    return f"{', '.join(filter(None, (state, firmware)))}. {s.link_text}".strip()


def _battery(s: LiveStatus) -> str:
    if s.battery_v is None:
        return "battery not known"
    low = ", low: charge it before the next attempt" if s.battery_low else ""
    return f"battery {quantity(s.battery_v, 'V')}{low}"


def _lost(s: LiveStatus) -> str:
    missed = f"{s.missed or 'no'} edge{'' if s.missed <= 1 else 's'} missed in this attempt"
    return missed + (f", {s.edges_lost} lost by the board since it started" if s.edges_lost else "")


def _alarm(s: LiveStatus) -> bool:
    """Whether the line with link, battery and missed edges needs attention."""
    return s.battery_low or not s.link_up or s.missed > 0 or bool(s.trouble)
