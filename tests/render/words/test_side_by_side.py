"""The first sentence of Side by side: which went farther, and whether one may rely on it."""

from __future__ import annotations

from dataclasses import replace

from study.compare.compared import ran
from unspool.render.words.side_by_side import headline, short_names
from unspool.study.compare import Comparison, compare

START, RUN, THIRD = (3.5, 5.5), (1.5, 8.5), (2.5, 7.0)


def _said(*groups: tuple[tuple[float, float], tuple[float, ...]]) -> str:
    runs = [
        ran(f"run {i}.{j}", metres, winding)
        for i, (winding, distances) in enumerate(groups)
        for j, metres in enumerate(distances)
    ]
    return headline(compare(runs)).replace("\u00a0", " ")


def test_the_better_one_comes_first() -> None:
    """12 and 12.2 against 15 and 15.2: 3.0 m, with an interval of 4.30 x 0.141."""
    short, long = (12.0, 12.2), (15.0, 15.2)
    forward, backward = _said((START, short), (RUN, long)), _said((START, long), (RUN, short))
    assert forward.startswith("1.5 start + 8.5 run went farther than 3.5 start + 5.5 run: 3.00 m")
    assert "2.39 to 3.61 m" in forward
    assert backward.startswith("3.5 start + 5.5 run went farther than 1.5 start + 8.5 run: 3.00 m")


def test_what_may_be_chance_says_how_many_more() -> None:
    said = _said((START, (12.0, 13.0, 12.4)), (RUN, (12.6, 13.4, 12.5)))
    made = compare(
        [ran(f"a{m}", m, START) for m in (12.0, 13.0, 12.4)]
        + [ran(f"b{m}", m, RUN) for m in (12.6, 13.4, 12.5)]
    )
    (apart,) = made.of("distance_m")
    assert apart.more_runs is not None
    assert f"{apart.more_runs} more of each" in said


def test_one_attempt_each_says_to_repeat() -> None:
    assert "two of each" in _said((START, (12.0,)), (RUN, (14.0,)))


def test_of_several_the_best_is_named_and_who_may_be_as_good() -> None:
    groups = ((START, (12.0, 12.1)), (RUN, (15.0, 15.1)), (THIRD, (15.0, 15.05)))
    assert "but 2.5 start + 7.0 run may be as good" in _said(*groups)
    assert "every other" in _said(*groups[:2], (THIRD, (13.0, 13.05)))


def test_unknown_distances_are_not_compared() -> None:
    def unknown(made: Comparison) -> Comparison:
        groups = tuple(
            replace(g, summaries=tuple(replace(s, mean=None) for s in g.summaries))
            for g in made.groups
        )
        return replace(made, groups=groups)

    made = compare([ran("a", 12.0, START), ran("b", 15.0, RUN)])
    assert "cannot be said" in headline(unknown(made))


def test_names_are_short_where_all_begin_alike() -> None:
    one_day = ["Sandpiper, 28 Nov, 1st", "Sandpiper, 28 Nov, 2nd"]
    assert short_names(one_day) == ["1st", "2nd"]
    assert short_names([*one_day, "Sandpiper, 29 Nov, 1st"])[-1] == "29 Nov, 1st"
    assert short_names([*one_day, "Dunlin, 28 Nov, 1st"])[-1] == "Dunlin, 28 Nov, 1st"
    assert short_names(["run 5"]) == ["run 5"]
    assert short_names(["a, b", "a, b"]) == ["b", "b"]
    assert short_names([]) == []
