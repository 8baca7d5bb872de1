"""`unspool rollout`: the rolling circumference, from pushes over a taped length."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from unspool.cli.bounds import within
from unspool.cli.output_files import Force, PageFile, write_new
from unspool.cli.run_selection import CarFiles, RunNames, find_runs
from unspool.cli.sources import AsJson, StoreName
from unspool.cli.streams import console, print_json
from unspool.cli.wheel import Correct, Since, correct_runs, since_of
from unspool.errors import InputError

if TYPE_CHECKING:
    from unspool.car import Car
    from unspool.study.measured_run import MeasuredRun


Length = Annotated[
    list[float],
    typer.Option(
        "--length",
        metavar="M",
        help="Metres from mark to mark: once for all pushes, or once for each.",
    ),
]
TapeSd = Annotated[
    float,
    typer.Option(
        "--tape-sd",
        callback=within(0.0, 1000.0),
        metavar="MM",
        help="How exactly you put the car to a mark: standard deviation.",
    ),
]


def rollout(
    runs: RunNames,
    length: Length,
    tape_sd: TapeSd = 3.0,
    car: CarFiles = None,
    correct: Correct = False,
    since: Since = None,
    store: StoreName = None,
    html: PageFile = None,
    force: Force = False,
    as_json: AsJson = False,
) -> None:
    """Measure the rolling circumference of the wheel, from pushes by hand over a taped length."""
    from unspool.render.json.rollout import rollout_json
    from unspool.study.rollout import Push, roll_out

    lengths, begin = _one_each(length, len(runs)), since_of(since, correct)
    measured = find_runs(runs, car or [], [], store)
    pushes = [Push(run.name, run.train, m) for run, m in zip(measured, lengths, strict=True)]
    out = roll_out(pushes, _same_wheel(measured), 1e-3 * tape_sd)
    if html is not None:
        from unspool.render.html.rollout import rollout_page

        write_new(html, rollout_page(out), force=force)
    corrected = correct_runs(out, runs[0], car or [], store, begin) if correct else None
    if as_json:
        print_json(rollout_json(out) | ({} if corrected is None else {"corrected": corrected}))
        return
    from unspool.render.text.rollout import show_corrected, show_rollout

    show_rollout(console(), out)
    if corrected is not None:
        show_corrected(console(), corrected)


def _one_each(lengths: list[float], count: int) -> list[float]:
    if len(lengths) not in (1, count):
        raise InputError(
            f"--length is given {len(lengths)} times for {count} runs; give it once for all, or "
            "once for each, in their order"
        )
    return lengths * count if len(lengths) == 1 else lengths


def _same_wheel(runs: list[MeasuredRun]) -> Car:
    """The car of all pushes, which must have one wheel and one disc."""
    first = runs[0].car
    for run in runs[1:]:
        other = run.car
        if (other.encoder, other.encoder_wheel) != (first.encoder, first.encoder_wheel):
            raise InputError(
                f"{run.name} ({other.name}) has another wheel or disc than {runs[0].name} "
                f"({first.name}); roll out one car at a time, or give one --car for all"
            )
    return first
