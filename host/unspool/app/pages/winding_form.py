"""What a plan is asked for: the form, and the address that holds its choices."""

from __future__ import annotations

import re
from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from unspool.app.pages.run_choice import SHOWN, form, number, one_of, run_boxes, run_choice, text
from unspool.app.query import Query
from unspool.app.studies import OwnedSizes, PlanRequest, Studies
from unspool.errors import InputError, UnspoolError
from unspool.language import _, later
from unspool.study.plan import Aim, Counts, Goal, Limits
from unspool.study.plan.evaluate import TURN_STEP
from unspool.study.plan.limits import LIMIT_NAMES, NAMES
from unspool.study.plan.parts import WheelSize, wheel_size

PATH = "/next-winding"
AIMS = (
    (Aim.FARTHEST, later("go farthest")),
    (Aim.FASTEST, later("pass the mark soonest")),
    (Aim.REACH, later("stop nearest to the mark")),
)
COUNTS = (
    (Counts.REST, later("where the car comes to rest")),
    (Counts.FURTHEST, later("the furthest point that it reaches")),
)
MARK, STEPS = later("Mark, m from the launch"), later("Turns in steps of")
# Fields of parts that the builder owns; a tier's name follows the last.
WEIGHTS, WHEELS, TIER = "weights_g", "wheels_mm", "tier_mm:"


def plan_request(query: Query) -> PlanRequest:
    """What the address asks to plan. Raises InputError if something is missing."""
    runs = query.ids()
    if len(runs) != 1:
        raise InputError(_("choose one attempt: the plan is for its car and its floor"))
    return PlanRequest(
        runs[0],
        query.ids("learn"),
        goal_of(query),
        limits_of(query),
        _owned(query),
        query.asked("step", _(STEPS)) or TURN_STEP,
    )


def goal_of(query: Query) -> Goal:
    """Raises InputError if the mark that it needs is missing."""
    aim = Aim(query.one_of("goal", list(Aim)) or Aim.FARTHEST)
    mark = None if aim is Aim.FARTHEST else query.asked("mark", _(MARK))
    if aim is not Aim.FARTHEST and not mark:
        raise InputError(_("type where the mark is, in metres from the launch"))
    counts = Counts.REST
    if aim is Aim.FARTHEST:
        counts = Counts(query.one_of("counts", list(Counts)) or Counts.REST)
    return Goal(aim, mark, counts)


def _owned(query: Query) -> OwnedSizes:
    names = dict.fromkeys(key for key, _text in query.pairs if key.startswith(TIER))
    tiers = ((name.removeprefix(TIER), _sizes(query, name, "mm")) for name in names)
    return OwnedSizes(
        _sizes(query, WEIGHTS, "g"),
        _wheels(query),
        tuple((name, sizes) for name, sizes in tiers if sizes),
    )


def _wheels(query: Query) -> tuple[WheelSize, ...]:
    return tuple(wheel_size(word) for word in _words(query.text(WHEELS)))


def _words(typed: str) -> list[str]:
    """Sizes with spaces or semicolons between them. A comma inside of one is a decimal comma.

    Raises InputError for "500,640" and "1,2,3", which could be read in two ways.
    """
    if found := re.search(r"\d+,(\d{3}(?!\d)|\d+,\d+)", typed):
        raise InputError(
            _(
                'parts that you own: "{found}" can be read in two ways; put a space between two '
                "sizes",
                found=found[0],
            )
        )
    return [word.replace(",", ".") for word in re.split(r"[;\s]+|,\s+", typed.strip(",; ")) if word]


def _sizes(query: Query, name: str, unit: str) -> tuple[float, ...]:
    """ "500 640.5" as numbers. Raises InputError for anything else."""
    typed = query.text(name)
    words = _words(typed)
    if not all(re.fullmatch(r"[0-9]{1,6}(\.[0-9]{0,6})?", word) for word in words):
        raise InputError(
            _(
                'parts that you own: found "{typed}", expected sizes in {unit} with spaces between '
                "them, such as 500 640.5",
                typed=typed,
                unit=unit,
            )
        )
    return tuple(float(word) for word in words)


def limits_of(query: Query) -> Limits:
    """Raises InputError if something else than a number was typed."""
    given = {name: query.asked(name, _(LIMIT_NAMES[name])) for name in NAMES}
    return Limits(**{name: value for name, value in given.items() if value is not None})


def plan_form(studies: Studies, query: Query) -> Component:
    owned = _owned_fields(studies, query, _run(studies, query))
    step = number(query, "step", _(STEPS), TURN_STEP)
    return form(PATH, [*choices(studies, query), step, owned], _("Plan"))


def _run(studies: Studies, query: Query) -> str:
    return (query.ids() or (studies.runs.choices(SHOWN)[0].row.id,))[0]


def choices(studies: Studies, query: Query) -> list[Component]:
    """Goal, limits, car and losses: what a plan and a search of sizes are both asked for."""
    entries = studies.runs.choices(SHOWN)
    usual = Limits()
    margins = [
        number(
            query,
            name,
            _("{limit}, at least", limit=_(LIMIT_NAMES[name])),
            getattr(usual, name),
        )
        for name in NAMES
    ]
    return [
        one_of("goal", _("Goal"), _shown(AIMS), query.one_of("goal", list(Aim)) or Aim.FARTHEST),
        one_of(
            "counts",
            _("Which distance counts for the farthest"),
            _shown(COUNTS),
            query.one_of("counts", list(Counts)) or Counts.REST,
        ),
        number(query, "mark", _(MARK)),
        html.Details([html.Summary(_("Limits")), *margins], className="limits"),
        run_choice(
            studies.runs, entries, _run(studies, query), _("For the car and floor of one attempt")
        ),
        html.Details(
            [
                html.Summary(_("Take the losses from attempts, instead of the car file's")),
                run_boxes(
                    studies.runs,
                    entries,
                    query.ids("learn"),
                    _("Attempts of that car"),
                    name="learn",
                ),
            ],
            open=bool(query.ids("learn")),
        ),
    ]


def _shown(options: Sequence[tuple[str, str]]) -> list[tuple[str, str]]:
    return [(value, _(words)) for value, words in options]


def _owned_fields(studies: Studies, query: Query, run: str) -> Component:
    """Fields for other parts of the chosen run's car."""
    try:
        drum = studies.runs.measured(run).car.drum
    except UnspoolError:
        drum = ()  # the page says why elsewhere
    fields = {
        WEIGHTS: _("Weights, g"),
        WHEELS: _("Driven wheels, diameters in mm, or with the mass of each in g: 100:45"),
        **{
            f"{TIER}{tier.name}": _("Tier {tier}, diameters in mm", tier=tier.name) for tier in drum
        },
    }
    return html.Details(
        [
            html.Summary(_("Also try other parts that I own")),
            html.P(_("Sizes with spaces between them, such as 500 640.5."), className="quiet"),
            *(text(name, label, query.text(name)) for name, label in fields.items()),
        ],
        open=any(query.text(name) for name in fields),
    )
