"""The bytes of a bundle into runs, each found to fit its car; or one sentence that says why not."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import lru_cache
from typing import Any

import numpy as np
from pydantic import ValidationError

from unspool.bundle.archive import Archive, BundleError
from unspool.bundle.manifest import (
    FORMAT,
    MANIFEST,
    MOST_SHEETS,
    TEXT_FIELDS,
    LineJson,
    ManifestJson,
    RunJson,
    said_of,
)
from unspool.car import parse_car, parse_track
from unspool.car.toml_source import LARGEST_FILE_BYTES
from unspool.corrections import check
from unspool.errors import InputError
from unspool.language import _
from unspool.reading.edges.edge_file import parse_edges
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Carried, ClockRate, Correction, Field, Said, StoredRun, Winding

MOST_YEAR, LEAST_YEAR = 9998, 1971


def read_bundle(data: bytes, name: str) -> tuple[Carried, ...]:
    """The runs of a bundle; `name` says in errors which one it is.

    Raises InputError if anything of it cannot be used: a bundle comes whole or not at all.
    """
    archive = Archive(data, name)
    manifest = _manifest(archive)
    sheets = _Sheets(archive)
    return tuple(_run(archive, sheets, n, run) for n, run in enumerate(manifest.runs, 1))


def _manifest(archive: Archive) -> ManifestJson:
    data = archive.read(MANIFEST)
    try:
        raw: Any = json.loads(data)
        version = raw["unspool"], raw["bundle"]
    except (ValueError, TypeError, KeyError, RecursionError):
        raise archive.refusal(_("has no {file} of a bundle in it", file=MANIFEST)) from None
    if any(type(one) is int and one > FORMAT for one in version):
        raise archive.refusal(_("was made by a newer unspool; update this one"))
    if version != (FORMAT, FORMAT):
        raise archive.refusal(_("has no {file} of a bundle in it", file=MANIFEST))
    try:
        return ManifestJson.model_validate_json(data, strict=True)
    except ValidationError as error:
        where = ".".join(map(str, error.errors()[0]["loc"]))[:80]
        why = _("says what no bundle says, in its {file} at {where}", file=MANIFEST, where=where)
        raise archive.refusal(why) from None


class _Sheets:
    """Texts of cars and tracks, each found valid once."""

    def __init__(self, archive: Archive) -> None:
        self._archive, self._left = archive, MOST_SHEETS
        self.text = lru_cache(maxsize=None)(self._text)

    def _text(self, field: Field, name: str) -> str:
        folder = "cars/" if field is Field.CAR else "tracks/"
        if not name.startswith(folder) or not name.endswith(".toml"):
            raise self._archive.refusal(
                _("takes {file} for a file in {folder}", file=name[:60], folder=folder)
            )
        text, self._left = self._archive.text(name), self._left - 1
        if self._left < 0 or len(text) > LARGEST_FILE_BYTES:
            raise self._archive.refusal(_("holds more of cars and tracks than a bundle can"))
        try:
            (parse_car if field is Field.CAR else parse_track)(text, name)
        except InputError as error:
            raise self._archive.refusal(_one_line(error)) from error
        return text


def _run(archive: Archive, sheets: _Sheets, number: int, run: RunJson) -> Carried:
    try:
        carried = _carried(archive, sheets, run)
        check(_as_stored(carried), {f: v for f, v in carried.said.items() if v is not None})
    except BundleError:
        raise
    except InputError as error:
        raise archive.refusal(
            _("its run {number}: {why}", number=number, why=_one_line(error))
        ) from error
    except (ValueError, OverflowError):
        raise archive.refusal(_("says of its run {number} what no run is", number=number)) from None
    return carried


def _carried(archive: Archive, sheets: _Sheets, run: RunJson) -> Carried:
    said: dict[Field, Said] = {
        field: said_of(field, run.said.model_dump()[field])
        for field in Field
        if field not in TEXT_FIELDS
    }
    for field, name in ((Field.CAR, run.car), (Field.TRACK, run.track)):
        said[field] = None if name is None else sheets.text(field, name)
    if not LEAST_YEAR <= run.started_at.year <= MOST_YEAR:
        raise ValueError
    return Carried(
        train=_train(archive, run),
        source="".join(c if c.isprintable() else "?" for c in run.source),
        started_at=run.started_at,
        utc_offset_s=run.utc_offset_s,
        tick_hz=run.board.tick_hz if run.board else None,
        boot=run.board.boot if run.board else None,
        clock=ClockRate(run.clock.ppm, run.clock.sd_ppm) if run.clock else None,
        winding=Winding(run.winding.turns, tuple(run.winding.steps)) if run.winding else None,
        said=said,
        history=tuple(_line(sheets, line) for line in run.history),
    )


def _train(archive: Archive, run: RunJson) -> PulseTrain:
    train = parse_edges(archive.read(run.edges), run.edges)
    if train.missing:
        return train
    return replace(train, number=train.number - np.min(train.number) + run.first_edge)


def _line(sheets: _Sheets, line: LineJson) -> Correction:
    if not LEAST_YEAR <= line.made_at.year <= MOST_YEAR or not line.who.isprintable():
        raise ValueError
    before, after = (_value(sheets, line.field, value) for value in (line.before, line.after))
    return Correction(line.made_at, line.who, line.field, before, after)


def _value(sheets: _Sheets, field: Field, value: Any) -> Said:
    if field in TEXT_FIELDS and value is not None:
        return sheets.text(field, str(value))
    return said_of(field, value)


def _as_stored(run: Carried) -> StoredRun:
    """The run as it will be in the store, to see whether it fits its car."""
    car, track = run.said[Field.CAR], run.said[Field.TRACK]
    return StoredRun(
        id="of the bundle",
        started_at=run.started_at,
        source=run.source,
        train=run.clock.corrected(run.train) if run.clock else run.train,
        car_text=None if car is None else str(car),
        track_text=None if track is None else str(track),
        winding=run.winding,
        clock=run.clock,
        tick_hz=run.tick_hz,
    )


def _one_line(error: InputError) -> str:
    """The first fault, on one line."""
    return str(error.faults[0]) if error.faults else " ".join(str(error).split())
