"""LiveStatus: all that Track shows beside its picture, and the banner of every page."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from unspool.car import Car
from unspool.finding import Finding
from unspool.instrument.record.notices import Phase
from unspool.language import _
from unspool.model.forecast import StopForecast
from unspool.model.outcome import EventKind, Prediction
from unspool.reading.events.types import Reading
from unspool.render.words.findings import sentence


@dataclass(frozen=True)
class Advised:
    """What the board was last recorded with. is_so: it is recorded with that now.

    floor: "" for a level one.
    """

    car: str
    floor: str
    is_so: bool


@dataclass(frozen=True)
class LiveStatus:
    """All that the page shows beside the picture: values, which each reader gets in own words.

    Strings here may come from a board or a file.
    """

    car: Car | None = None  # None: nothing is being recorded
    prediction: Prediction | None = None
    phase: Phase = Phase.NO_LINK
    wound_turns: float = 0.0
    wound_steps: tuple[float, ...] = ()  # between the builder's marks, in the order of winding
    link_up: bool = False
    link: Finding | None = None
    link_code: str = ""  # that of `link`, until the board answers
    lost_at: datetime | None = None  # since when a link that was up is down
    firmware: str = ""
    battery_v: float | None = None
    battery_low: bool = False
    trouble: Finding | None = None  # what the board reported, until the next winding
    edges_lost: int = 0
    missed: int = 0
    run_id: str = ""
    distance_m: float = 0.0
    speed_m_s: float = 0.0
    peak_m_s: float = 0.0
    whole: bool = True  # False if the run's distance is not known
    reading: Reading | None = None  # once it was read
    stop: StopForecast | None = None  # of the run under way
    cause: str | None = None  # why it went farther or less far, as far as its points say
    elapsed_s: float = 0.0  # since the launch
    done: str = ""  # why no further run will come, as a message in English
    ended_by: str = ""  # the fault that ended the recording; a Phrase if it can be
    board: int = 0  # its number for life, 0 if it has none or has not said it yet
    beside: int = 0  # how many other boards are recorded
    recorded: bool = False  # also if the car is not known
    needs_car: bool = False  # nobody has said in which car the board is
    advised: Advised | None = None
    by_itself: bool = False  # it goes on after the app was killed, and nobody pressed Start

    @property
    def link_text(self) -> str:
        return sentence(self.link) if self.link else ""

    @property
    def trouble_text(self) -> str:
        return sentence(self.trouble) if self.trouble else ""

    @property
    def trouble_code(self) -> str:
        return self.trouble.code if self.trouble else ""

    @property
    def shown_phase(self) -> Phase:
        """Without a link the car's phase is not known. A run's result stays."""
        return self.phase if self.link_up or self.phase is Phase.ENDED else Phase.NO_LINK

    @property
    def under_way(self) -> str:
        """The tier that should drive at this distance; "coast" in words after the release."""
        name = self.car.drum[0].name if self.car else ""
        for event in self.prediction.events if self.prediction else ():
            if event.distance_m > self.distance_m:
                break
            if event.kind is EventKind.TIER_CHANGE and event.to_tier:
                name = event.to_tier
            elif event.kind in (EventKind.RELEASE, EventKind.LANDING):
                name = _("coast")
        return name
