"""Edge files: read whole or refused with the line, written so that they read back the same."""

from __future__ import annotations

import contextlib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from unspool.errors import InputError
from unspool.reading.edges import edge_file
from unspool.reading.edges.edge_file import edge_text, parse_edges, read_edge_file, write_edge_file
from unspool.reading.edges.ending import Ending
from unspool.reading.edges.pulse_train import PulseTrain

GOOD = b"time_s,direction\n0.5,1\n0.75,-1\n1.0,1\n"


@st.composite
def trains(draw: st.DrawFn) -> PulseTrain:
    times = draw(
        st.lists(st.floats(-1e9, 1e9, allow_subnormal=False), min_size=1, max_size=40).map(sorted)
    )
    n = len(times)
    direction = draw(st.lists(st.sampled_from([1, -1]), min_size=n, max_size=n))
    steps = draw(st.lists(st.sampled_from([1, 1, 1, 4]), min_size=n, max_size=n))
    number = np.cumsum(steps) if max(steps) > 1 else np.arange(n)
    columns = np.array(times), np.array(direction, dtype=np.int8), number.astype(np.int64)
    lost = draw(st.sampled_from([0, 0, 1, 2**31 - 1]))
    return PulseTrain(*columns, lost, draw(st.sampled_from(Ending)))


def assert_same(a: PulseTrain, b: PulseTrain) -> None:
    np.testing.assert_array_equal(a.time_s, b.time_s)
    np.testing.assert_array_equal(a.direction, b.direction)
    np.testing.assert_array_equal(np.diff(a.number), np.diff(b.number))
    assert (a.lost_before, a.ending) == (b.lost_before, b.ending)
    assert (a.time_s.dtype, a.direction.dtype, a.number.dtype) == ("float64", "int8", "int64")


@given(trains())
def test_a_written_train_reads_back_bit_for_bit(train: PulseTrain) -> None:
    assert_same(parse_edges(edge_text(train).encode(), "x"), train)


@given(trains(), st.data())
def test_a_file_cut_anywhere_is_refused_or_ends_on_a_whole_row(
    train: PulseTrain, data: st.DataObject
) -> None:
    whole = edge_text(train).encode()
    cut = whole[: data.draw(st.integers(0, len(whole)))]
    try:
        read = parse_edges(cut, "x")
    except InputError:
        return
    kept = len(read)
    np.testing.assert_array_equal(read.time_s, train.time_s[:kept])
    np.testing.assert_array_equal(read.direction, train.direction[:kept])


@given(st.binary(max_size=300))
def test_garbage_is_refused_or_holds_edges_and_nothing_else(data: bytes) -> None:
    with contextlib.suppress(InputError):
        assert len(parse_edges(data, "x")) > 0


TIMES = ["0", "0.0", "-0.0", "0.25", "1", "1e0", " 1.5", "2.", "+3", '"4"', "1e3", "1e400"]
TIMES += ["nan", "inf", "-1", "1_0", "0x1", "\uff11", "", "1,1"]
WAYS = ["1", "-1", "1", "1", "+1", "1.0", " 1", "0", "2", "-1.0", "nan", "", "1e0"]
few_rows = st.lists(
    st.tuples(st.sampled_from(TIMES), st.sampled_from(WAYS)).map(",".join), max_size=5
)
any_text = st.text(alphabet='0123456789.,-+eE\n\r#;" nainf_\x85', max_size=80)


@given(few_rows.map(sorted).map("\n".join) | few_rows.map("\r\n".join) | any_text)
@example("0.25,1\n0.25,-1\n1e0,1")
def test_whatever_is_taken_is_finite_ordered_and_directed(rows: str) -> None:
    try:
        train = parse_edges(b"time_s,direction\n" + rows.encode(), "x")
    except InputError:
        return
    assert np.isfinite(train.time_s).all()
    assert (np.diff(train.time_s) >= 0).all()
    assert set(train.direction.tolist()) <= {1, -1}


@pytest.mark.parametrize(
    "text",
    [
        GOOD,
        GOOD[:-1],
        b"\xef\xbb\xbf" + GOOD,
        GOOD.replace(b"\n", b"\r\n"),
        b"# made by hand\n\n" + GOOD.replace(b"0.75", b"# mid\n  \n0.75") + b"# end\n\n",
        b'"time_s","direction"\n0.5,1\n 0.75 , -1\n1.0,1.0\n',
        b"time_s,direction\n5e-1,+1\n.75,-1\n1.,1\n",
    ],
)
def test_spellings_of_the_same_edges(text: bytes) -> None:
    train = parse_edges(text, "x")
    assert train.time_s.tolist() == [0.5, 0.75, 1.0]
    assert train.direction.tolist() == [1, -1, 1]
    assert train.number.tolist() == [0, 1, 2]


def test_without_direction_all_edges_are_forward() -> None:
    train = parse_edges(b"time_s\n0.5\n0.5\n0.6\n", "x")
    assert train.direction.tolist() == [1, 1, 1]
    assert train.time_s.tolist() == [0.5, 0.5, 0.6]


def test_the_number_column_keeps_a_known_gap() -> None:
    train = parse_edges(b"time_s,direction,number\n0.5,1,7\n0.6,1,8\n0.9,1,11\n", "x")
    assert train.missing == 2
    assert edge_text(train).splitlines()[1] == "time_s,direction,number"


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (b"time_s,direction\n", 1, "no edge"),
        (b"# only a comment\n", 1, "no line of data"),
        (b"0.5,1\n0.6,1\n", 1, "header is missing"),
        (b"time,dir\n0.5,1\n", 1, "expected the header"),
        (b"time_s;direction\n0,5;1\n", 1, "save with commas"),
        (b"time_s,direction,speed\n0.5,1,2\n", 1, "not part of an edge file"),
        (b"time_s,direction\n0.5,1\n0.6,1,9\n", 3, "2 columns"),
        (b"time_s,direction\n0,5,1,1\n", 2, "decimal comma"),
        (b"time_s\n0,5\n", 2, "decimal comma"),
        (b"time_s,direction\n0.5;1\n", 2, "commas between columns"),
        (b"time_s,direction\n0.5,1\n0.4,1\n", 3, "backwards"),
        (b"time_s,direction\nsoon,1\n", 2, "a time in seconds"),
        (b"time_s,direction\nnan,1\n", 2, "a time in seconds"),
        (b"time_s,direction\ninf,1\n", 2, "a time in seconds"),
        (b"time_s,direction\n1e999,1\n", 2, "a time in seconds"),
        (b"time_s,direction\n1_000,1\n", 2, "a time in seconds"),
        (b"time_s,direction\n1e12,1\n", 2, "below 1e+11"),
        (b"time_s,direction\n0.5,0\n", 2, "1 (forward) or -1"),
        (b"time_s,direction\n0.5,2\n", 2, "1 (forward) or -1"),
        (b"time_s,direction\n0.5,fwd\n", 2, "1 (forward) or -1"),
        (b"time_s,direction\n0.5,1\n0.6\n0.7,1\n", 3, "cut short"),
        (b"time_s,direction\n0.5,1\n0.6,", 3, "cut short"),
        (b"time_s,direction\n0.5,1\n0.6,-", 3, "cut short"),
        (b"time_s,direction\n0.5,1\n0", 3, "cut short"),
        (b"time_s\n10.500\n10.600\n10.7", 4, "cut short"),
        (b"time_s\n10.500\n10.600\n1", 4, "backwards"),
        (b"time_s,direction\n0.5,1\n\xff\xff,1\n", 3, "not UTF-8"),
        (b"time_s,direction\n0.5,1\n\x00\x00\n", 3, "zero bytes"),
        ("time_s,direction\n0.5,1\n".encode("utf-16"), 1, "UTF-16"),
        (b"time_s,direction,number\n0.5,1,4\n0.6,1,4\n", 3, "numbered in order"),
        (b"time_s,direction,number\n0.5,1,4\n0.6,1,x\n", 3, "an integer"),
    ],
)
def test_faults_name_their_line(text: bytes, line: int, words: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_edges(text, "run.csv")
    message = str(caught.value)
    assert message.startswith("run.csv: ")
    assert f"line {line}: " in message
    assert words in message
    assert "\n" not in message


def test_every_fault_is_told_at_once_up_to_a_bound() -> None:
    with pytest.raises(InputError) as caught:
        parse_edges(b"time_s,direction\n0.5,7\nx,1\n0.4,1\n", "x")
    assert [fault.where for fault in caught.value.faults] == ["line 2", "line 3", "line 4"]
    with pytest.raises(InputError) as caught:
        parse_edges(b"time_s\n" + b"x\n" * 1000, "x")
    assert len(caught.value.faults) == edge_file.MAX_FAULTS


def test_an_empty_file_and_a_huge_one(monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(InputError, match="empty"):
        parse_edges(b"", "x")
    monkeypatch.setattr(edge_file, "MAX_BYTES", 2**20)
    with pytest.raises(InputError, match="larger than 1 MiB"):
        read_edge_file("/dev/zero")


def test_files_that_cannot_be_opened_or_written(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        read_edge_file(tmp_path / "none.csv")
    with pytest.raises(InputError, match="cannot be read"):
        read_edge_file(tmp_path)
    train = parse_edges(GOOD, "x")
    with pytest.raises(InputError, match="cannot be written"):
        write_edge_file(tmp_path / "no" / "run.csv", train)
    none = PulseTrain(np.empty(0), np.empty(0, np.int8), np.empty(0, np.int64))
    with pytest.raises(InputError, match="no edge"):
        write_edge_file(tmp_path / "run.csv", none)
    assert list(tmp_path.iterdir()) == []


def test_a_written_file_is_plain(tmp_path: Path) -> None:
    path = tmp_path / "run.csv"
    write_edge_file(path, parse_edges(GOOD, "x"))
    assert path.read_bytes() == b"# unspool = 1\n" + GOOD
    assert list(tmp_path.iterdir()) == [path]
    assert_same(read_edge_file(path), parse_edges(GOOD, "x"))


def test_more_edges_than_a_run_has_are_refused() -> None:
    rows = "".join(f"{i}\n" for i in range(edge_file.MAX_EDGES + 1))
    with pytest.raises(InputError, match="found 25001 edges, expected at most 25000"):
        parse_edges(f"time_s\n{rows}".encode(), "long")
    whole = parse_edges(
        f"time_s\n{rows.removesuffix(f'{edge_file.MAX_EDGES}' + chr(10))}".encode(), "x"
    )
    assert len(whole) == edge_file.MAX_EDGES


def test_gap_that_no_board_could_lose_is_refused() -> None:
    data = b"time_s,direction,number\n0.1,1,5\n0.2,1,1000000000\n"
    with pytest.raises(InputError, match="line 3: found 1000000000, expected a number at most"):
        parse_edges(data, "gap")


def test_what_no_row_says_stands_above_the_header() -> None:
    train = replace(parse_edges(GOOD, "x"), lost_before=12, ending=Ending.EDGES_LOST)
    lines = edge_text(train).splitlines()
    assert lines[:4] == [
        "# unspool = 1",
        "# lost_before = 12",
        "# ending = edges_lost",
        "time_s,direction",
    ]


@pytest.mark.parametrize(
    "text",
    [
        b"# lost_before = 12\n# ending = edges_lost\n" + GOOD,  # nobody says that they are keys
        b"# lost_before = 12\n# unspool = 1\n" + GOOD,
        b"# unspool = 1\n" + GOOD + b"# lost_before = 12\n# ending = stood_still\n",
        b"# unspool = 1\n# our lost_before = 12\n# ending of the day = 5\n" + GOOD,
    ],
)
def test_other_comments_are_no_keys(text: bytes) -> None:
    train = parse_edges(text, "x")
    assert (train.lost_before, train.ending) == (0, Ending.UNKNOWN)


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        (b"lost_before = -1", "a count of lost edges"),
        (b"lost_before = 1.5", "a count of lost edges"),
        (b"lost_before = 2147483648", "at most 2147483647"),
        (b"lost_before = " + b"9" * 5000, "a count of lost edges"),
        (b"lost_before =", "a count of lost edges"),
        (b"ending = exploded", "one of unknown, stood_still"),
    ],
)
def test_a_wrong_key_is_refused_with_its_line(key: bytes, expected: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_edges(b"# unspool = 1\r\n# " + key + b"\r\n" + GOOD, "x")
    (fault,) = caught.value.faults
    assert fault.where == "line 2"
    assert expected in fault.expected
    assert len(str(caught.value)) < 200
