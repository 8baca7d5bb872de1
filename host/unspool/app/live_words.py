"""The live page's texts, large enough to be read from three metres away."""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite
from typing import Any

from unspool.car import Car
from unspool.instrument.record.notices import Phase
from unspool.model.outcome import EventKind, Prediction
from unspool.render.words.units import quantity

CAUTION = "The weight is up: keep hands and feet from under it."


@dataclass(frozen=True)
class LiveStatus:
    """All that the page shows beside the picture. Strings here may come from a board or a file."""

    car: Car
    prediction: Prediction | None = None
    phase: Phase = Phase.NO_LINK
    wound_turns: float = 0.0
    wound_steps: tuple[float, ...] = ()  # between the builder's marks, in the order of winding
    link_up: bool = False
    link_text: str = ""  # a sentence
    firmware: str = ""
    battery_v: float | None = None
    battery_low: bool = False
    trouble: str = ""  # what the board reported, until the next winding
    edges_lost: int = 0
    missed: int = 0
    run_id: str = ""
    distance_m: float = 0.0
    speed_m_s: float = 0.0
    peak_m_s: float = 0.0
    whole: bool = True  # False if the run's distance is not known
    end: str = ""  # how far the run went, once it was read

    @property
    def shown_phase(self) -> Phase:
        """Without a link the car's phase is not known. A run's result stays."""
        return self.phase if self.link_up or self.phase is Phase.ENDED else Phase.NO_LINK

    @property
    def under_way(self) -> str:
        """The tier that should drive at this distance; "coast" after the release."""
        name = self.car.drum[0].name
        for event in self.prediction.events if self.prediction else ():
            if event.distance_m > self.distance_m:
                break
            if event.kind is EventKind.TIER_CHANGE and event.to_tier:
                name = event.to_tier
            elif event.kind in (EventKind.RELEASE, EventKind.LANDING):
                name = "coast"
        return name


def page_texts(status: LiveStatus) -> dict[str, Any]:
    """The texts of the page, by the name of their place."""
    headline, advice = _headline(status)
    return {
        "phase": status.shown_phase.value,
        "headline": headline,
        "advice": advice,
        "dials": _dials(status),
        "link": _link(status),
        "battery": _battery(status),
        "lost": _lost(status),
        "trouble": status.trouble,
        "alarm": _alarm(status),
        "run": f"/runs/{status.run_id}" if status.run_id else "",
    }


def _headline(s: LiveStatus) -> tuple[str, str]:
    match s.shown_phase:
        case Phase.NO_LINK if s.phase is Phase.RUNNING:
            return "Running, link lost", "The picture goes on when the board is connected again."
        case Phase.NO_LINK:
            return "No board", s.link_text or "Plug the board in, or switch its radio on."
        case Phase.WAITING:
            return "Ready to wind", "Turn the driven wheel backwards: its turns are counted here."
        case Phase.WINDING:
            return "Winding", CAUTION
        case Phase.READY:
            return "Wound", f"{CAUTION} Clear the run-out, then let go."
        case Phase.RUNNING:
            return "Running", _expectation(s)
        case Phase.ENDED:
            return "Run over", _outcome(s)


def _expectation(s: LiveStatus) -> str:
    if s.prediction is None:
        return ""
    low, high = s.prediction.distance_low_m, s.prediction.distance_high_m
    if not isfinite(high):
        return "With the losses in its car file, nothing would stop this car."
    return f"Expected to stop between {quantity(low, 'm', 1)} and {quantity(high, 'm', 1)}."


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
        planned = sum(tier.turns for tier in s.car.drum)
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
