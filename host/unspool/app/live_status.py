"""LiveStatus: all that Track shows beside its picture, and the banner of every page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from unspool.car import Car
from unspool.instrument.record.notices import Phase
from unspool.model.forecast import StopForecast
from unspool.model.outcome import EventKind, Prediction


@dataclass(frozen=True)
class Advised:
    """What the board remembers, in a sentence. car, floor: to be recorded in place of what is."""

    text: str = ""
    car: str = ""
    floor: str = ""


@dataclass(frozen=True)
class LiveStatus:
    """All that the page shows beside the picture. Strings here may come from a board or a file."""

    car: Car | None = None  # None: nothing is being recorded
    prediction: Prediction | None = None
    phase: Phase = Phase.NO_LINK
    wound_turns: float = 0.0
    wound_steps: tuple[float, ...] = ()  # between the builder's marks, in the order of winding
    link_up: bool = False
    link_text: str = ""  # a sentence
    link_code: str = ""  # what it is a sentence of
    lost_at: datetime | None = None  # since when a link that was up is down
    firmware: str = ""
    battery_v: float | None = None
    battery_low: bool = False
    trouble: str = ""  # what the board reported, until the next winding
    trouble_code: str = ""
    edges_lost: int = 0
    missed: int = 0
    run_id: str = ""
    distance_m: float = 0.0
    speed_m_s: float = 0.0
    peak_m_s: float = 0.0
    whole: bool = True  # False if the run's distance is not known
    result: str = ""  # what came of it, in a sentence, once it was read
    stop: StopForecast | None = None  # of the run under way
    cause: str | None = None  # why it went farther or less far, as far as its points say
    elapsed_s: float = 0.0  # since the launch
    done: str = ""  # why no further run will come
    ended_by: str = ""  # the fault that ended the recording
    board: int = 0  # its number for life, 0 if it has none or has not said it yet
    beside: int = 0  # how many other boards are recorded
    recorded: bool = False  # also if the car is not known
    needs_car: bool = False  # nobody has said in which car the board is
    advised: Advised | None = None

    @property
    def shown_phase(self) -> Phase:
        """Without a link the car's phase is not known. A run's result stays."""
        return self.phase if self.link_up or self.phase is Phase.ENDED else Phase.NO_LINK

    @property
    def under_way(self) -> str:
        """The tier that should drive at this distance; "coast" after the release."""
        name = self.car.drum[0].name if self.car else ""
        for event in self.prediction.events if self.prediction else ():
            if event.distance_m > self.distance_m:
                break
            if event.kind is EventKind.TIER_CHANGE and event.to_tier:
                name = event.to_tier
            elif event.kind in (EventKind.RELEASE, EventKind.LANDING):
                name = "coast"
        return name
