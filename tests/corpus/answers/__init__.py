"""The one package of the corpus that calls unspool; its keys stay when unspool's names change."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from corpus import asked
from corpus.answers import runs, studies
from corpus.answers.runs import Answer
from unspool.errors import InputError

_ANSWERS: dict[type, Callable[[Any], Answer]] = {
    asked.Run: runs.read,
    asked.Predicted: runs.predicted,
    asked.Watched: runs.watched,
    asked.Calibrated: studies.calibrated,
    asked.Learnt: studies.learnt,
    asked.Floor: studies.floor,
    asked.Rests: studies.rests,
    asked.Planned: studies.planned,
    asked.Card: studies.carded,
    asked.Compared: studies.compared,
    asked.RolledOut: runs.rolled_out,
    asked.Coasts: studies.coasts,
    asked.Ramp: studies.ramp,
    asked.Checked: runs.checked,
}


def answer(case: asked.Asked) -> Answer:
    """What unspool answers to this case; a refusal is an answer too."""
    try:
        return _ANSWERS[type(case)](case)
    except InputError:
        return {"refused": True}
