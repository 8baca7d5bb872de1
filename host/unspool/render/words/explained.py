"""The pictures of an attempt explained: what a pupil asks of each, and the answer."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping

from unspool.language import _
from unspool.model.outcome import Event, EventKind
from unspool.reading.events.types import Reading
from unspool.render.words.units import quantity

Explained = tuple[str, str]  # a question, and its answer


def explained(picture: str, reading: Reading) -> list[Explained]:
    """Questions and answers on the picture of that name; empty if there are none."""
    found = _EXPLAINED.get(picture)
    return list(found(reading)) if found else []


def _speed(reading: Reading) -> Iterator[Explained]:
    yield (
        _("Why does the line rise first and fall later?"),
        _("While the string pulls, the pull is larger than what slows the car: it gets faster.")
        + " "
        + _after_release(reading),
    )
    if _of(reading, EventKind.TIER_CHANGE):
        yield (
            _("Why does it rise less steeply after the change of tier?"),
            _(
                "The string then leaves a smaller radius of the drum. The same weight has a "
                "shorter lever there, so the wheels push less."
            ),
        )
    yield (
        _("Why are there two lines?"),
        _(
            "The solid line is what the wheel did. The dashed line is what the model expected of "
            "this winding. Where they part, something was not as the car's file says."
        ),
    )


def _after_release(reading: Reading) -> str:
    released = _of(reading, EventKind.RELEASE)
    if not released:
        return _("Later nothing drives it any more, and rolling and air slow it until it stops.")
    return _(
        "At {place} the string let go. Nothing drives the car from there on: rolling and air slow "
        "it until it stops.",
        place=quantity(released[0].distance_m, "m", 1),
    )


def _of(reading: Reading, kind: EventKind) -> list[Event]:
    return [event for event in reading.events if event.kind is kind]


def _stretches(_reading: Reading) -> Iterator[Explained]:
    yield (
        _("Why are these lines straight?"),
        _(
            "The energy of motion grows with the square of the speed. A steady force gives the "
            "same energy on every metre, so the square of the speed changes by the same amount "
            "on every metre: that is a straight line."
        ),
    )
    yield (
        _("What does the slope say?"),
        _(
            "How large the force is: twice the force divided by the mass. A line that rises "
            "steeply is a hard pull. A line that falls is what slows the car."
        ),
    )
    yield (
        _("Why is the last line a little curved?"),
        _(
            "Air slows a fast car more than a slow one. So the line falls more steeply at the "
            "start of the coast than at its end."
        ),
    )


def _energy(reading: Reading) -> Iterator[Explained]:
    yield (
        _("Where does the energy come from?"),
        _(
            "From the lifted weight: mass × 9.81 m/s² × height of the drop. Here that is {stored}.",
            stored=quantity(reading.energy.stored, "J"),
        ),
    )
    yield (
        _("Where is it when the car stands still again?"),
        _(
            "It is not gone, it has become heat: in tyres and bearings, in string and pulley, "
            "in the air, and in the cradle in which the weight lands."
        ),
    )


def _time(_reading: Reading) -> Iterator[Explained]:
    yield (
        _("Why does this picture look different from the one over distance?"),
        _(
            "A fast car covers many metres in a second, a slow one few. So the slow end takes up "
            "more room here."
        ),
    )
    yield (
        _("What does the slope say here?"),
        _(
            "The acceleration: how much faster the car gets in every second. While it coasts, "
            "the line falls, and the fall divided by the time is the deceleration."
        ),
    )


def _residuals(_reading: Reading) -> Iterator[Explained]:
    yield (
        _("What does a good picture look like here?"),
        _(
            "Like dust: points on both sides of zero, without a pattern. Every measurement is a "
            "little off, to both sides alike."
        ),
    )
    yield (
        _("What does a wave mean?"),
        _(
            "Something comes back regularly: once a turn it is a wheel or a disc out of round, "
            "slower it is a swinging weight."
        ),
    )


def _slots(_reading: Reading) -> Iterator[Explained]:
    yield (
        _("Why are the slots not all alike?"),
        _(
            "No disc is cut perfectly, and none sits exactly in the middle. unspool learns each "
            "slot's width from the coast and takes it into account."
        ),
    )


_EXPLAINED: Mapping[str, Callable[[Reading], Iterator[Explained]]] = {
    "speed": _speed,
    "stretches": _stretches,
    "energy": _energy,
    "time": _time,
    "residuals": _residuals,
    "slots": _slots,
}
