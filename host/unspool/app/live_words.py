"""Track's texts, large enough to be read from three metres away."""

from __future__ import annotations

from math import isfinite
from typing import Any

from unspool.app.banner import banner, banner_json
from unspool.app.live_status import LiveStatus
from unspool.instrument.record.notices import Phase
from unspool.render.words.units import quantity


def page_texts(status: LiveStatus) -> dict[str, Any]:
    """The texts of the page, by the name of their place."""
    return {
        "banner": banner_json(banner(status)),
        "phase": status.shown_phase.value,
        "answer": _outcome(status) if status.phase is Phase.ENDED else "",
        "dials": _dials(status),
        "link": _link(status),
        "battery": _battery(status),
        "lost": _lost(status),
        "trouble": status.trouble,
        "alarm": _alarm(status),
        "run": f"/attempts/{status.run_id}" if status.run_id else "",
    }


def _outcome(s: LiveStatus) -> str:
    place = quantity(s.distance_m, "m")
    if not s.whole:
        return f"{s.end.capitalize()}."
    if s.missed and not s.end:
        return f"Last seen at {place}."  # until its reading says what the lost edges mean
    stopped = f"Stopped at {place}"
    if s.prediction is None or not isfinite(s.prediction.distance_m):
        return stopped + "."
    off = s.distance_m - s.prediction.distance_m
    if abs(off) < 0.005:
        return f"{stopped}, as expected."
    side = "past" if off > 0 else "short of"
    expected = quantity(s.prediction.distance_m, "m")
    return f"{stopped}, {quantity(abs(off), 'm')} {side} the expected {expected}."


def _dials(s: LiveStatus) -> list[dict[str, str]]:
    """The three large figures, the most important first."""
    if s.shown_phase in (Phase.WAITING, Phase.WINDING, Phase.READY):
        planned = sum(tier.turns for tier in s.car.drum) if s.car else None
        expected = s.prediction.distance_m if s.prediction else None
        return [
            _dial("wound", s.wound_turns, "turns"),
            _dial("planned", planned, "turns"),
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
        {"label": "tier, as expected here", "value": s.under_way, "unit": ""},
    ]


def _dial(label: str, value: float | None, unit: str) -> dict[str, str]:
    """Three digits for any size: more would not fit in large print."""
    if value is None:
        return {"label": label, "value": "?", "unit": unit}
    digits = 2 if abs(value) < 9.995 else 1 if abs(value) < 99.95 else 0
    return {"label": label, "value": quantity(value, "", digits), "unit": unit}


def _link(s: LiveStatus) -> str:
    state = "link up" if s.link_up else "link down"
    firmware = f"firmware {s.firmware}" if s.firmware else ""
    return f"{', '.join(filter(None, (state, firmware)))}. {s.link_text}".strip()


def _battery(s: LiveStatus) -> str:
    if s.battery_v is None:
        return "battery not known"
    low = ", low: charge it before the next run" if s.battery_low else ""
    return f"battery {quantity(s.battery_v, 'V')}{low}"


def _lost(s: LiveStatus) -> str:
    missed = f"{s.missed or 'no'} edge{'' if s.missed <= 1 else 's'} missed in this run"
    return missed + (f", {s.edges_lost} lost by the board since it started" if s.edges_lost else "")


def _alarm(s: LiveStatus) -> bool:
    """Whether the line with link, battery and missed edges needs attention."""
    return s.battery_low or not s.link_up or s.missed > 0 or bool(s.trouble)
