"""Runs into the bytes of a bundle."""

from __future__ import annotations

import io
import json
import zipfile
from collections.abc import Sequence
from typing import Any

import numpy as np

from unspool.bundle.manifest import FORMAT, MANIFEST, MOST_RUNS, TEXT_FIELDS, said_json
from unspool.errors import InputError
from unspool.language import _
from unspool.reading.edges.edge_file import edge_text
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.store import Carried, Correction, Field, Said

# A fixed time in the archive: the same runs make the same bytes.
_WHEN = (1980, 1, 1, 0, 0, 0)
_FOLDERS = {Field.CAR: "cars", Field.TRACK: "tracks"}


def bundle_bytes(runs: Sequence[Carried]) -> bytes:
    """The bundle of the runs, equal for equal runs. Raises InputError for none or too many."""
    if not 0 < len(runs) <= MOST_RUNS:
        raise InputError(
            _(
                "a bundle holds 1 to {most} runs, and {count} were given",
                most=MOST_RUNS,
                count=len(runs),
            )
        )
    files = _Files()
    listed = [_run(files, number, run) for number, run in enumerate(runs, 1)]
    manifest = {"unspool": FORMAT, "bundle": FORMAT, "runs": listed}
    text = json.dumps(manifest, indent=1, ensure_ascii=False, allow_nan=False)
    return _zipped({MANIFEST: text, **files.texts})


class _Files:
    """The files beside the manifest; a text of a car or a track is there once."""

    def __init__(self) -> None:
        self.texts: dict[str, str] = {}
        self._names: dict[tuple[Field, str], str] = {}

    def sheet(self, field: Field, text: Said) -> str | None:
        """The name of the file with the text; None for none."""
        if text is None:
            return None
        key = field, str(text)
        if key not in self._names:
            number = sum(known is field for known, _ in self._names) + 1
            self._names[key] = f"{_FOLDERS[field]}/{number}.toml"
            self.texts[self._names[key]] = str(text)
        return self._names[key]

    def edges(self, number: int, train: PulseTrain) -> str:
        name = f"edges/{number}.csv"
        self.texts[name] = edge_text(train)
        return name


def _run(files: _Files, number: int, run: Carried) -> dict[str, Any]:
    said = {str(f): said_json(f, value) for f, value in run.said.items() if f not in TEXT_FIELDS}
    clock, winding = run.clock, run.winding
    return {
        "edges": files.edges(number, run.train),
        "first_edge": int(np.min(run.train.number)),
        "car": files.sheet(Field.CAR, run.said.get(Field.CAR)),
        "track": files.sheet(Field.TRACK, run.said.get(Field.TRACK)),
        "source": run.source,
        "started_at": run.started_at.isoformat(),
        "utc_offset_s": run.utc_offset_s,
        "board": None if run.tick_hz is None else {"tick_hz": run.tick_hz, "boot": run.boot or 0},
        "clock": clock and {"ppm": clock.ppm, "sd_ppm": clock.sd_ppm},
        "winding": winding and {"turns": winding.turns, "steps": list(winding.steps)},
        "said": said,
        "history": [_line(files, line) for line in run.history],
    }


def _line(files: _Files, line: Correction) -> dict[str, Any]:
    sheets = line.field in TEXT_FIELDS
    before, after = (
        files.sheet(line.field, value) if sheets else said_json(line.field, value)
        for value in (line.before, line.after)
    )
    return {
        "made_at": line.made_at.isoformat(),
        "who": line.who,
        "field": str(line.field),
        "before": before,
        "after": after,
    }


def _zipped(texts: dict[str, str]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, text in texts.items():
            entry = zipfile.ZipInfo(name, _WHEN)
            entry.compress_type = zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, text.encode("utf-8"))
    return out.getvalue()
