"""Names of attempts, in place of the numbers that kept files and errors know runs by."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime
from types import MappingProxyType
from typing import TYPE_CHECKING

from unspool.errors import UnspoolError
from unspool.finding import Finding, Value
from unspool.language import _
from unspool.render.words.attempts import attempt_name
from unspool.render.words.values import as_sentence
from unspool.store import Attempt, Store

if TYPE_CHECKING:
    from unspool.study.calibration import Calibration, RunOutcome

# What faults call a run, in each language of the catalogues.
_RUN = re.compile(r"\b(?:[Rr]un|[Tt]entativa|[Ii]ntento|Versuch|[Ee]ssai) ([0-9]{1,18})\b")
_COMMAND = re.compile(r"take it back with unspool correct [0-9]+ --restore")


def called(run_id: str, attempt: Attempt | None) -> str:
    """What a run is called: "Sandpiper, 27 Nov, 3rd". Of a damaged one only its number is known."""
    if attempt is None:
        return _("Attempt no. {number}", number=run_id)
    return attempt_name(attempt.car, attempt.day, attempt.number, datetime.now().date())


def fault_words(error: Exception | str, store: Store) -> str:
    """The error as a page says it: "Sandpiper, 27 Nov, 3rd: found ..."."""
    text = _COMMAND.sub(_("bring it back on its page"), str(error))
    return as_sentence(_RUN.sub(lambda found: _name(found[1], found[0], store), text))


def with_names(calibration: Calibration, names: Mapping[str, str]) -> Calibration:
    """The calibration with other names for its runs; it may have been kept under the old ones."""
    return replace(
        calibration,
        runs=tuple(_outcome(run, names) for run in calibration.runs),
        findings=tuple(_finding(one, names) for one in calibration.findings),
    )


def _name(run_id: str, otherwise: str, store: Store) -> str:
    try:
        attempt = store.attempt(run_id)
    except UnspoolError:
        return otherwise
    return called(run_id, attempt) if attempt else otherwise


def _outcome(run: RunOutcome, names: Mapping[str, str]) -> RunOutcome:
    return replace(
        run,
        name=names.get(run.name, run.name),
        left_out=run.left_out and _finding(run.left_out, names),
        without_drive=run.without_drive and _finding(run.without_drive, names),
    )


def _finding(one: Finding, names: Mapping[str, str]) -> Finding:
    values = {key: _value(value, names) for key, value in one.values.items()}
    return replace(one, values=MappingProxyType(values))


def _value(value: Value, names: Mapping[str, str]) -> Value:
    return names.get(value, value) if isinstance(value, str) else value
