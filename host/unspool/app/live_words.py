"""Track's texts, large enough to be read from three metres away."""

from __future__ import annotations

from typing import Any

from unspool.app.banner import banner, banner_json
from unspool.app.lane import lane_json
from unspool.app.live_status import LiveStatus
from unspool.app.tiers import turns_left
from unspool.instrument.record.notices import Phase
from unspool.language import _, many
from unspool.render.words.attempt_result import result_words, went_words
from unspool.render.words.board import board_name
from unspool.render.words.reading_units import as_read, reading_of
from unspool.render.words.units import between, quantity, unit_word
from unspool.render.words.values import joined

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
        "trouble": status.trouble_text,
        "by_itself": _by_itself(status),
        "alarm": _alarm(status),
        "needs_car": status.needs_car,
        "at": _at(status),
        "beside": _("All {count} boards", count=status.beside + 1) if status.beside else "",
        "advised": _advised(status),
        "run": f"/attempts/{status.run_id}" if status.run_id else "",
    }


def _by_itself(s: LiveStatus) -> str:
    if not s.by_itself:
        return ""
    return _("unspool was cut off while it recorded here. It goes on by itself.")


def _at(s: LiveStatus) -> str:
    """Which board it is, for a page beside those of other boards."""
    car = s.car.name if s.car else _("car not known")
    return f"{board_name(s.board)}: {car}" if s.board else car


def _advised(s: LiveStatus) -> dict[str, str]:
    """What the board remembers, and what is to be recorded in place of what is."""
    if s.advised is None:
        return {"text": "", "car": "", "floor": ""}
    with_floor = _("{board} was last recorded with {car} on {floor}.")
    with_floor_now = _("{board} was last recorded with {car} on {floor}, and so it is now.")
    level = _("{board} was last recorded with {car} on a level floor.")
    level_now = _("{board} was last recorded with {car} on a level floor, and so it is now.")
    is_so, floor, car = s.advised.is_so, s.advised.floor, s.advised.car
    said = (with_floor_now if floor else level_now) if is_so else (with_floor if floor else level)
    text = said.format(board=board_name(s.board), car=car, floor=floor)
    return {"text": text, "car": "" if is_so else car, "floor": "" if is_so else floor}


def _ahead(s: LiveStatus) -> str:
    """What drives now as expected, and what comes next."""
    if s.shown_phase is not Phase.RUNNING:
        return ""
    lane = lane_json(s)
    here = _("Now, as expected: {tier}.", tier=s.under_way)
    if lane["next_m"] is None:
        return here
    far = quantity(lane["next_m"], "m", 1)
    return joined(here, _("Next: {event} in {distance}.", event=lane["next"], distance=far))


def _stop(s: LiveStatus) -> str:
    """Where the car will stop, as far as can be said by now."""
    if s.stop is None or s.phase is Phase.ENDED:
        return ""
    low, high = s.stop.low_m, s.stop.high_m
    digits = 1 if high - low > FINE_M else 2
    ends = between(low, high, "m", digits, " {} ".format(_("and")))
    return _("Stops between {ends} ({share}).", ends=ends, share="90 %")


def _outcome(s: LiveStatus) -> str:
    if s.reading:
        return result_words(s.reading)
    if s.missed:
        place = quantity(s.distance_m, "m")
        # until its reading says what the lost edges mean
        return _("Last seen at {place}.", place=place)
    return went_words(s.distance_m, s.prediction, s.cause)


def _dials(s: LiveStatus) -> list[dict[str, str]]:
    """The three large figures, the most important first."""
    if s.shown_phase in (Phase.WAITING, Phase.WINDING, Phase.READY):
        expected = s.prediction.distance_m if s.prediction else None
        return [
            _left(s),
            _dial(_("wound"), s.wound_turns, "turns"),
            _dial(_("should roll"), expected, "m"),
        ]
    if s.phase is Phase.ENDED:
        return [
            _dial(_("distance") if s.whole else _("last seen at"), s.distance_m, "m"),
            _dial(_("top speed"), s.peak_m_s, "m/s"),
            _dial(_("should roll"), s.prediction.distance_m if s.prediction else None, "m"),
        ]
    return [
        _dial(_("distance"), s.distance_m, "m"),
        _dial(_("speed"), s.speed_m_s, "m/s"),
        _dial(_("time"), s.elapsed_s, "s"),
    ]


def _left(s: LiveStatus) -> dict[str, str]:
    left = turns_left(s)
    if left is None:
        return _dial(_("left"), None, "turns")
    tier, turns = left
    return _dial(_("left on {tier}", tier=tier), turns, "turns")


def _dial(label: str, value: float | None, unit: str) -> dict[str, str]:
    """Three digits for any size: more would not fit in large print."""
    if value is None:
        return {"label": label, "value": "?", "unit": unit_word(reading_of(unit).unit)}
    value, unit = as_read(value, unit)
    digits = 2 if abs(value) < 9.995 else 1 if abs(value) < 99.95 else 0
    return {"label": label, "value": quantity(value, "", digits), "unit": unit_word(unit)}


def _link(s: LiveStatus) -> str:
    state = _("link up") if s.link_up else _("link down")
    firmware = _("firmware {version}", version=s.firmware) if s.firmware else ""
    return joined(f"{', '.join(filter(None, (state, firmware)))}.", s.link_text)


def _battery(s: LiveStatus) -> str:
    if s.battery_v is None:
        return _("battery not known")
    volts = quantity(s.battery_v, "V")
    if s.battery_low:
        return _("battery {volts}, low: charge it before the next attempt", volts=volts)
    return _("battery {volts}", volts=volts)


def _lost(s: LiveStatus) -> str:
    missed = _("no edge missed in this attempt")
    if s.missed:
        missed = many(
            "{count} edge missed in this attempt",
            "{count} edges missed in this attempt",
            s.missed,
        )
    if not s.edges_lost:
        return missed
    lost = _("{count} lost by the board since it started", count=s.edges_lost)
    return f"{missed}, {lost}"


def _alarm(s: LiveStatus) -> bool:
    """Whether the line with link, battery and missed edges needs attention."""
    return s.battery_low or not s.link_up or s.missed > 0 or s.trouble is not None
