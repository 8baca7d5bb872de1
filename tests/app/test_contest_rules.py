"""The form of a contest's rules: what it shows comes back as the same rules."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from dash.development.base_component import Component

from unspool.app.contest_rules_sent import rules_sent
from unspool.app.pages.contest_rules import rules_fold
from unspool.contest import By, Class, Contest, Measure, Penalty, Rules, Score, Ties, parse_rules
from unspool.errors import InputError
from unspool.language import in_language

RULES = Rules(
    attempts=4,
    measure=Measure.TIME,
    by=By.WHEEL_FIRST,
    mark_m=7.5,
    score=Score.MEAN,
    drop_worst=1,
    resolution=0.001,
    doubt_m=0.25,
    ties=Ties.RUN_OFF,
    order="reversed",
    forecast="relative",
    penalties=(Penalty(name="touched", seconds=0.5), Penalty(name="late", void=True)),
    classes=(Class(name="light", weight_max_g=1200.5, age_min=10), Class(name="open")),
)


def parts(part: Any) -> Iterator[Component]:
    if isinstance(part, list | tuple):
        for one in part:
            yield from parts(one)
    elif isinstance(part, Component):
        yield part
        yield from parts(getattr(part, "children", None))


def shown(rules: Rules) -> dict[str, str]:
    """What a browser sends if nobody changes anything."""
    found = {"rows": str(max(len(rules.classes), len(rules.penalties)) + 2)}
    for part in parts(rules_fold(Contest(rules=rules))):
        name = getattr(part, "name", None)
        if name is not None and name != "rules":
            options = [one for one in parts(part) if getattr(one, "selected", False)]
            found[name] = options[0].value if options else getattr(part, "value", "")
    return found


@pytest.mark.parametrize("rules", [Rules(), RULES])
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_form_gives_its_rules_back(rules: Rules, language: str) -> None:
    with in_language(language):
        assert parse_rules(rules_sent(shown(rules)), "again") == rules


def test_a_row_without_a_name_is_left_out_and_a_new_one_is_taken() -> None:
    sent = shown(RULES) | {"class-0-name": " ", "class-2-name": "old", "class-2-age_min": "16,5"}
    found = parse_rules(rules_sent(sent), "again").classes
    assert [(one.name, one.age_min) for one in found] == [("open", None), ("old", 16.5)]


@pytest.mark.parametrize(
    ("name", "typed", "label"),
    [
        ("attempts", "2,5", "Attempts of each car"),
        ("drop_worst", "9", "Worst attempts that are left out"),
        ("mark_m", "", "Distance to the mark, for a time"),
        ("class-0-weight_max_g", "-5", "Weight up to"),
    ],
)
def test_a_fault_is_named_by_its_label(name: str, typed: str, label: str) -> None:
    with pytest.raises(InputError) as caught:
        rules_sent(shown(RULES) | {name: typed})
    assert [fault.where for fault in caught.value.faults] == [label]


@pytest.mark.parametrize("name", ["resolution", "penalty-0-seconds"])
def test_what_is_no_number_is_refused(name: str) -> None:
    with pytest.raises(InputError):
        rules_sent(shown(RULES) | {name: "far"})
