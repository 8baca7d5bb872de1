"""What to mind about a planned winding, in a sentence each."""

from __future__ import annotations

from collections.abc import Iterator

from unspool.car import Car
from unspool.model.outcome import Prediction
from unspool.study.plan.evaluate import Task
from unspool.study.plan.goal import A_HIT_M, Aim

_MISSED = 0.01  # of the mark


def cautions(task: Task, wound: Car, prediction: Prediction) -> tuple[str, ...]:
    """The plan's own first, then those of the prediction but for string that is not used."""
    unused = "The string lets go"
    said = [text for text in prediction.warnings if not text.startswith(unused)]
    return (*_mark(task, prediction), *_not_known(prediction), *_tapers(wound), *said)


def _mark(task: Task, prediction: Prediction) -> Iterator[str]:
    if task.goal.aim is not Aim.REACH:
        return
    off = prediction.distance_m - task.goal.place_m
    if abs(off) > max(_MISSED * task.goal.place_m, A_HIT_M):
        side = "short of" if off < 0.0 else "past"
        yield f"No winding stops at the mark: this one stops {abs(off):.2f} m {side} it."


def _not_known(prediction: Prediction) -> Iterator[str]:
    margins = {
        "traction and tipping": (prediction.traction_margin, "wheelbase_mm and the centre of mass"),
        "the string's strength": (prediction.string_margin, "breaking_load_n"),
    }
    for what, (margin, key) in margins.items():
        if margin is None:
            yield f"Not known: {what}; the car file does not give {key}. Try with care."


def _tapers(wound: Car) -> Iterator[str]:
    for tier in wound.drum:
        if tier.tapered and tier.turns > 0.0:
            yield (
                f"Tier {tier.name!r} tapers: the taper is taken to stretch over its planned turns."
            )
