"""Groups, their repeatability and what is said of their differences."""

from __future__ import annotations

import csv
import json
from dataclasses import replace
from io import StringIO

import pytest

from study.compare.compared import in_turns, ran
from unspool.errors import InputError
from unspool.finding import warning
from unspool.language import in_language
from unspool.reading.events.codes import ReadingCode
from unspool.render.json.comparison import comparison_json
from unspool.render.tables import comparison_csv
from unspool.render.words.comparison import shown_quantities, versus
from unspool.study.compare import (
    QUANTITIES,
    ComparedRun,
    Difference,
    Distinction,
    compare,
)

SHORT, LONG = (12.0, 14.0, 16.0), (22.0, 24.0, 26.0)


def _windings(
    short: tuple[float, ...] = SHORT, long: tuple[float, ...] = LONG
) -> list[ComparedRun]:
    one = [ran(f"a{i}", d, (3.5 + 0.04 * i, 5.5)) for i, d in enumerate(short)]
    return one + [ran(f"b{i}", d, (1.5, 8.5)) for i, d in enumerate(long)]


def _distance(runs: list[ComparedRun], by: str = "winding") -> Difference:
    (apart,) = compare(runs, by).of("distance_m")
    return apart


def test_windings_within_a_quarter_turn_are_one() -> None:
    comparison = compare(_windings())
    assert [group.name for group in comparison.groups] == [
        "3.5 start + 5.5 run",
        "1.5 start + 8.5 run",
    ]
    assert [len(group.runs) for group in comparison.groups] == [3, 3]


def test_groups_do_not_hang_on_the_order_of_runs() -> None:
    runs = _windings()
    names = [{run.name for run in g.runs} for g in compare(runs[::-1]).groups]
    assert names == [{"b0", "b1", "b2"}, {"a0", "a1", "a2"}]


def test_a_mean_and_what_repeats() -> None:
    """12, 14, 16: sd 2, 4.303 x 2 / sqrt 3 = 4.97 and 4.303 x sqrt 2 x 2 = 12.17."""
    summary = compare(_windings()).groups[0].summary("distance_m")
    assert summary.sample
    assert summary.sample.sd == pytest.approx(2.0)
    assert summary.mean
    assert summary.mean.interval == pytest.approx((14.0 - 4.97, 14.0 + 4.97), abs=0.01)
    assert summary.repeatability == pytest.approx(12.17, abs=0.01)


def test_a_difference_that_shows() -> None:
    """10 m apart; Welch: sd 2 and 2, se 1.633, 4 degrees of freedom, t 2.776: 5.47 to 14.53."""
    apart = _distance(_windings())
    assert apart.verdict is Distinction.DIFFERENT
    assert apart.estimate.value == pytest.approx(10.0)
    assert apart.estimate.interval == pytest.approx((5.47, 14.53), abs=0.01)
    assert (apart.counts, apart.more_runs) == ((3, 3), None)


def test_a_difference_that_does_not_show_yet() -> None:
    apart = _distance(_windings(long=(13.0, 15.0, 17.0)))
    assert apart.verdict is Distinction.NOT_DISTINGUISHABLE
    assert apart.estimate.value == pytest.approx(1.0)
    assert apart.more_runs == 61


def test_no_difference_at_all() -> None:
    apart = _distance(_windings(long=SHORT))
    assert apart.verdict is Distinction.NOT_DISTINGUISHABLE
    assert (apart.estimate.value, apart.more_runs) == (0.0, None)


def test_one_run_in_a_group_leaves_the_difference_unknown() -> None:
    comparison = compare(_windings(long=(20.0,)))
    (apart,) = comparison.of("distance_m")
    assert apart.verdict is Distinction.UNKNOWN
    assert apart.estimate.value == pytest.approx(6.0)
    assert apart.estimate.interval is None
    assert apart.counts == (3, 1)
    (caution,) = comparison.cautions
    assert (caution.code, caution.values) == ("one_run", {"group": "1.5 start + 8.5 run"})
    told = comparison_json(comparison)["differences"][0]
    assert (told["low"], told["high"], told["more_runs_each"]) == (None, None, None)


def test_identical_runs_leave_the_difference_unknown() -> None:
    apart = _distance(_windings((14.0, 14.0), (15.0, 15.0)))
    assert apart.verdict is Distinction.UNKNOWN
    assert apart.counts == (2, 2)


def test_runs_made_in_turns_are_compared_in_pairs() -> None:
    """A floor that slows down hides the difference from groups, but not from pairs: 1.0 ± 0.25."""
    runs = in_turns((20.0, 18.0, 16.0), (20.9, 19.0, 17.1), "ABBAAB")
    (apart,) = compare(runs).of("distance_m")
    assert apart.paired
    assert apart.verdict is Distinction.DIFFERENT
    assert apart.estimate.interval == pytest.approx((0.7516, 1.2484), abs=1e-3)
    loose = [replace(run, turn=None) for run in runs]
    (apart,) = compare(loose).of("distance_m")
    assert not apart.paired
    assert apart.verdict is Distinction.NOT_DISTINGUISHABLE


@pytest.mark.parametrize("order", ["AAABBB", "ABBABA", "AABBAB"])
def test_pairs_need_one_of_each_in_every_two(order: str) -> None:
    (apart,) = compare(in_turns(SHORT, (22.0, 24.5, 26.0), order)).of("distance_m")
    assert apart.paired == all({*order[i : i + 2]} == {"A", "B"} for i in (0, 2, 4))


def test_pairs_need_one_sitting() -> None:
    runs = in_turns(SHORT, LONG, "ABABAB")
    runs[5] = replace(runs[5], turn=("capture 2", 5.0))
    (apart,) = compare(runs).of("distance_m")
    assert not apart.paired


@pytest.mark.parametrize(
    ("by", "names"),
    [
        ("weight", ["640 g weight", "800 g weight"]),
        ("wheel", ["124.0 mm wheel"]),
        ("car", ["Curlew", "Plover"]),
        ("track", ["level track"]),
        ("note", ["no note", "new string"]),
    ],
)
def test_other_groups(by: str, names: list[str]) -> None:
    runs = [ran("one", 12.0), ran("two", 13.0, weight_mass_kg=0.8)]
    plover = replace(runs[1].car, name="Plover")
    runs[1] = replace(runs[1], car=plover, note="new\n string ")
    assert [group.name for group in compare(runs, by).groups] == names


def test_groups_are_named_in_the_language_of_the_reader() -> None:
    runs = [ran("one", 12.0), ran("two", 13.0, weight_mass_kg=0.8)]
    with in_language("de"):
        names = [group.name for group in compare(runs, "weight").groups]
    assert ["640 g" in names[0], "800 g" in names[1]] == [True, True]
    assert names[0] != compare(runs, "weight").groups[0].name


def test_an_aspect_that_is_none_is_refused() -> None:
    with pytest.raises(InputError, match="take winding, weight, wheel"):
        compare(_windings(), "colour")


def test_groups_that_mix_something_else_are_said() -> None:
    runs = [ran("one", 12.0), ran("two", 13.0, weight_mass_kg=0.8)]
    (first, *_) = compare(runs).cautions
    assert first.code == "mixed_group"
    assert first.values["aspect"] == "weight"
    assert first.values["labels"] == ("640 g weight", "800 g weight")


def test_a_run_that_did_not_start_is_left_out() -> None:
    runs = _windings()
    finding = warning(ReadingCode.DID_NOT_START, edges=2)
    reading = replace(runs[0].reading, distance_m=0.0, findings=(finding,))
    stuck = replace(runs[0], reading=reading)
    comparison = compare([stuck, *runs[1:]])
    assert [(one.run, one.why) for one in comparison.left_out] == [("a0", finding)]
    assert len(comparison.groups[0].runs) == 2
    with pytest.raises(InputError, match="none of those given got under way"):
        compare([stuck])


def test_a_warning_of_one_run_is_said_and_one_of_all_is_not() -> None:
    runs = _windings()
    late = warning(ReadingCode.STRING_HELD, at_m=3.0)
    held = [replace(r, reading=replace(r.reading, findings=(late,))) for r in runs]
    assert compare(held).cautions == ()
    (said,) = compare([held[0], *runs[1:]]).cautions
    assert said.code == "odd_run"
    assert said.values == {
        "run": "a0",
        "group": "3.5 start + 5.5 run",
        "codes": ("string_held",),
    }


@pytest.mark.parametrize(("count", "code"), [(1, "one_group"), (3, "many_groups")])
def test_one_group_and_many_groups_are_cautioned(count: int, code: str) -> None:
    runs = [ran(f"{i}{j}", 12.0 + i + j, note=f"n{i}") for i in range(count) for j in range(2)]
    assert code in [caution.code for caution in compare(runs, "note").cautions]


def test_what_no_run_shows_is_left_out() -> None:
    runs = [replace(r, reading=replace(r.reading, events=())) for r in _windings()]
    comparison = compare(runs)
    assert comparison.of("release_m") == ()
    shown = shown_quantities(comparison)
    assert "release_m" not in [q.key for q in shown]
    assert len(shown) == len(QUANTITIES) - 2  # nothing was left in the weight either
    (pair,) = versus(comparison)
    assert [d.quantity for d in pair.differences] == shown


def test_json_and_table_hold_the_same_values() -> None:
    comparison = compare(_windings())
    told = json.loads(json.dumps(comparison_json(comparison), allow_nan=False))
    rows = list(csv.DictReader(StringIO(comparison_csv(comparison))))
    assert [row["run"] for row in rows] == ["a0", "a1", "a2", "b0", "b1", "b2"]
    values = [v for g in told["groups"] for v in g["quantities"]["distance_m"]["values"]]
    assert [float(row["distance_m"]) for row in rows] == values == [*SHORT, *LONG]
    assert list(rows[0]) == ["run", "group", *(q.key for q in QUANTITIES)]


def test_a_comparison_prints_as_a_few_lines() -> None:
    text = repr(compare(_windings(long=(22.0,))))
    assert "1.5 start + 8.5 run (1)" in text
    assert "one_run" in text
    text = repr(compare(_windings()))
    assert "distance_m +10" in text
    assert len(text.splitlines()) < 8
    assert "array" not in text
