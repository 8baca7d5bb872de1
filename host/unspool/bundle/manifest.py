"""The manifest of a bundle: what is known of its runs, and which files hold the rest.

A key that this version does not know is passed over, so that a later one may add some.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import AwareDatetime, BaseModel, ConfigDict, Field, StringConstraints

from unspool.store import Field as SaidField
from unspool.store import Said

MANIFEST = "bundle.json"
FORMAT = 1
MOST_RUNS = 2_000
MOST_LINES = 2_000  # of one run's history
MOST_SHEETS = 500  # cars and tracks, each once
TEXT_FIELDS = (SaidField.CAR, SaidField.TRACK)
_MODEL = ConfigDict(extra="ignore", allow_inf_nan=False, frozen=True)
_FINITE = Annotated[float, Field(ge=-1e12, le=1e12)]

FileName = Annotated[
    str, StringConstraints(pattern=r"^(edges|cars|tracks)/[1-9][0-9]{0,4}\.(csv|toml)$")
]
Person = Annotated[str, StringConstraints(max_length=120)]


class TurnsJson(BaseModel):
    model_config = _MODEL
    tier: Annotated[str, StringConstraints(max_length=80)]
    turns: _FINITE


class SaidJson(BaseModel):
    """Without car and track, whose files the run names."""

    model_config = _MODEL
    turns: Annotated[list[TurnsJson], Field(max_length=50)] | None = None
    weight_g: _FINITE | None = None
    circumference_mm: _FINITE | None = None
    circumference_sd_mm: _FINITE | None = None
    taped_m: _FINITE | None = None
    timed_s: _FINITE | None = None
    note: str = ""
    tags: list[str] = []
    discarded: bool = False


class LineJson(BaseModel):
    model_config = _MODEL
    made_at: AwareDatetime
    who: Person
    field: SaidField
    before: Any
    after: Any


class BoardJson(BaseModel):
    model_config = _MODEL
    tick_hz: Annotated[float, Field(gt=0, le=1e12)]
    boot: Annotated[int, Field(ge=0, lt=2**63)]


class ClockJson(BaseModel):
    model_config = _MODEL
    ppm: Annotated[float, Field(gt=-1e5, lt=1e5)]
    sd_ppm: Annotated[float, Field(ge=0, lt=1e5)]


class WindingJson(BaseModel):
    model_config = _MODEL
    turns: _FINITE
    steps: Annotated[list[_FINITE], Field(max_length=1000)]


class RunJson(BaseModel):
    model_config = _MODEL
    edges: FileName
    first_edge: Annotated[int, Field(ge=-(2**53), le=2**53)] = 0
    car: FileName | None
    track: FileName | None
    source: Annotated[str, StringConstraints(max_length=1000)]
    started_at: AwareDatetime
    utc_offset_s: Annotated[int, Field(gt=-86_400, lt=86_400)] | None = None
    board: BoardJson | None = None
    clock: ClockJson | None = None
    winding: WindingJson | None = None
    said: SaidJson
    history: Annotated[list[LineJson], Field(max_length=MOST_LINES)] = []


class ManifestJson(BaseModel):
    model_config = _MODEL
    unspool: int
    bundle: int
    runs: Annotated[list[RunJson], Field(min_length=1, max_length=MOST_RUNS)]


def said_json(field: SaidField, value: Said) -> Any:
    """A value as JSON. Of cars and tracks the caller gives the name of the file."""
    if field is SaidField.TURNS and isinstance(value, tuple):
        pairs = (one for one in value if not isinstance(one, str))
        return [{"tier": tier, "turns": turns} for tier, turns in pairs]
    return list(value) if isinstance(value, tuple) else value


def said_of(field: SaidField, value: Any) -> Said:
    """The value again. Raises ValueError for what `said_json` never makes."""
    if field in TEXT_FIELDS:
        return None if value is None else str(value)
    checked = SaidJson.model_validate({str(field): value}, strict=True)
    found: Any = getattr(checked, str(field))
    if field is SaidField.TURNS and found is not None:
        return tuple((one.tier, one.turns) for one in found)
    return tuple(found) if isinstance(found, list) else found
