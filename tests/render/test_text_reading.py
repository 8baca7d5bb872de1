"""What the commands say about a reading and a prediction."""

from __future__ import annotations

from dataclasses import replace
from io import StringIO

import numpy as np
import pytest
from rich.console import Console

from render.made import LEDGER, prediction, reading
from unspool.finding import note, warning
from unspool.model import PredictionCode
from unspool.model.outcome import Event, EventKind, Prediction
from unspool.reading.events.types import Reading
from unspool.render.text.reading import show_prediction, show_reading
from unspool.render.words.findings import sentence


def said(what: Reading | Prediction, width: int = 80) -> list[str]:
    """The lines printed, with plain spaces."""
    screen = Console(file=StringIO(), width=width, markup=False, highlight=False)
    if isinstance(what, Reading):
        show_reading(screen, what, "run 3")
    else:
        show_prediction(screen, what, "Corridor")
    assert isinstance(screen.file, StringIO)
    return [line.rstrip() for line in screen.file.getvalue().replace("\u00a0", " ").split("\n")]


def test_reading_says_how_far_how_long_how_fast() -> None:
    text = "\n".join(said(reading(), 100))
    assert "Plover, run 3" in text
    assert "stopped at 4.00 m, 4.0 s after the launch" in text
    assert "one expect 4.20 m" in text
    assert "top speed 2.00 m/s at 2.00 m" in text
    assert "81 edges: 81 used, 3 ignored, 2 missing" in text


def test_the_sketch_ends_where_the_car_stopped() -> None:
    """The last edge came by 80 mm earlier."""
    whole = reading().motion
    edges = {
        name: getattr(whole, name)[:-5] for name in ("used", "time_s", "distance_m", "speed_m_s")
    }
    lines = said(reading(motion=replace(whole, **edges)), 60)
    (axis,) = (line for line in lines if line.startswith("  0 "))
    assert axis.endswith(" 4.00 m")


def test_reading_lists_events_with_their_interval_and_expectation() -> None:
    (line,) = (line for line in said(reading()) if line.startswith("release"))
    assert line.split("  ")[0] == "release"
    assert "2.00 m" in line
    assert " 10 mm" in line, "1.96 times 0.005 m, to one digit"
    assert "2.00 s" in line, "since the launch at 7 s"
    assert line.endswith("2.10 m")


def test_interval_below_what_is_shown_is_never_zero() -> None:
    stop = Event(EventKind.STOP, 11.0, 4.0, 0.0, distance_sd_m=1e-5)
    (line,) = (line for line in said(reading(events=(stop,))) if line.startswith("stop  "))
    assert "below 0.1 mm" in line


def test_reading_says_what_is_not_known() -> None:
    lines = said(reading())
    (landing,) = (line for line in lines if line.startswith("lost as the weight lands"))
    (rolling,) = (line for line in lines if line.startswith("rolling"))
    assert landing.endswith("not known")
    assert rolling.split() == ["rolling", "2.80", "J", "80", "%"]


def test_warnings_come_before_notes() -> None:
    marks = [line[:2] for line in said(reading()) if line.startswith(("! ", "- "))]
    assert marks == ["! ", "- "]


def test_roll_back_says_both_distances() -> None:
    back = Event(EventKind.FURTHEST, 10.0, 4.6, 0.0)
    rolled = reading(furthest_m=4.6, events=(*reading().events[:2], back))
    assert "stopped at 4.00 m, after it had been at 4.60 m" in "\n".join(said(rolled, 120))


def test_picture_peaks_where_the_run_does() -> None:
    lines = said(reading())
    tallest = next(line for line in lines if "█" in line or "▁" in line)
    middle = sum(i for i, c in enumerate(tallest) if c != " ") / len(tallest.replace(" ", ""))
    assert middle == pytest.approx(2 + 72 / 2, abs=3)
    (marks,) = (line for line in lines if "▲" in line)
    assert marks.index("▲") == 2 + 36


def test_prediction_says_the_interval_and_the_margins() -> None:
    text = "\n".join(said(prediction(), 100))
    assert "Plover on Corridor, predicted" in text
    assert "stops at 4.00 m (90 % between 3.70 m and 4.40 m) after 4.0 s" in text
    assert "string lets go at 2.00 m" in text
    (tipping,) = (line for line in text.split("\n") if line.startswith("tipping"))
    assert tipping.endswith("not known")


def test_prediction_always_warns_of_the_weight() -> None:
    for made in (prediction(), prediction(starts=False, start_margin=0.8)):
        assert "hands from under the weight" in " ".join(said(made))


def test_findings_of_a_prediction_are_shown_by_their_severity() -> None:
    findings = (
        warning(PredictionCode.TIPS_BACK, margin=0.8),
        note(PredictionCode.AIR_DRAG_LEFT_OUT),
    )
    lines = said(prediction(findings=findings), width=300)
    marks = [f"{'!' if one.severity == 'warning' else '-'} {sentence(one)}" for one in findings]
    assert [mark.replace("\u00a0", " ") for mark in marks] == [
        line for line in lines if line.startswith(("! ", "- "))
    ]


def test_car_that_does_not_start_says_only_that() -> None:
    lines = said(prediction(starts=False, start_margin=0.8))
    assert lines[1] == "does not start: the drive is 0.80 of what holds it at rest"
    assert not any("stops at" in line for line in lines)


def test_no_line_is_padded_to_the_width_of_a_pipe() -> None:
    screen = Console(file=StringIO(), width=1000)
    show_reading(screen, reading(), "run 3")
    assert isinstance(screen.file, StringIO)
    lines = screen.file.getvalue().splitlines()
    assert max(map(len, lines)) < 200


@pytest.mark.parametrize("width", [1, 12, 30, 60, 200])
def test_any_width(width: int) -> None:
    for what in (reading(), prediction()):
        assert max(map(len, said(what, width))) <= max(width, 3)


def test_nothing_to_draw_is_no_failure() -> None:
    still = reading(
        motion=_still(), events=(), energy=LEDGER, distance_m=0.0, furthest_m=0.0, peak_at_m=0.0
    )
    assert "stopped at 0.00 m" in "\n".join(said(still))


def _still() -> object:
    from dataclasses import replace

    none = np.zeros(0)
    return replace(reading().motion, time_s=none, distance_m=none, speed_m_s=none)
