"""Edge files: the edges of one run as CSV (RFC 4180, UTF-8), read strictly and written exactly.

    time_s,direction          header; `direction` may be left out, then every edge is forward
    # anything                a comment, anywhere; blank lines are skipped too
    0.182311,1                one row an edge, in order

A third column, `number`, is written only if edges are known to be lost. It numbers them, so that
the gap survives the file. What no row can say stands in comments above: see edge_file_keys.

Decisions, with their reasons
- A file is used whole or not at all. Every fault is reported, up to MAX_FAULTS.
- Equal times are allowed. A clock of 1 ms gives two edges of a fast or chattering sensor the same
  stamp, and that is data. Times that go backwards are not allowed: a step back is a damaged or
  sorted file.
- A byte-order mark and CRLF are taken, as spreadsheets write both. UTF-16, semicolons and decimal
  commas are refused by name: guessing at them could turn 1,5 into time 1 in direction 5.
- A last line without a line end is taken where it must be whole. A row that is cut short lacks its
  direction, or has half of it ("-"). In a file of times alone a cut number still is a number, so
  there it must show at least as many decimals as most rows do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from math import isfinite
from pathlib import Path
from statistics import median_low

import numpy as np

from unspool.errors import Fault, InputError
from unspool.language import _, many
from unspool.reading.edges.edge_file_keys import key_lines, with_keys
from unspool.reading.edges.pulse_train import PulseTrain
from unspool.whole_file import write_whole

# A run has thousands of edges: 25,000 are 250 turns of a disc with 100 edges, nearly 100 m. Their
# rows take under 1 MiB; comments may take as much again.
MAX_EDGES = 25_000
MAX_BYTES = 4 * 2**20
MAX_FAULTS = 20
# Edges that one gap may have lost. A board holds some thousands.
MAX_GAP = 100_000
# Seconds since 1970 need 1.8e9; beyond this the stamps no longer resolve 20 us.
MAX_TIME_S = 1e11

HEADERS = (("time_s",), ("time_s", "direction"), ("time_s", "direction", "number"))
_NUMBER = re.compile(r"[+-]?(\d+\.?\d*|\.\d+)([eE][+-]?\d+)?", re.ASCII)


@dataclass(frozen=True)
class _Row:
    line: int
    fields: tuple[str, ...]
    ended: bool  # by a line end


class _Complaints(list[Fault]):
    """Faults of one file, in the order of its lines."""

    def add(self, line: int, found: str, expected: str) -> None:
        self.append(_fault(line, found, expected))


def read_edge_file(path: Path | str) -> PulseTrain:
    """Read an edge file.

    Raises InputError, with the line of each fault, when the file cannot be opened or used.
    """
    path = Path(path)
    try:
        with path.open("rb") as file:
            data = file.read(MAX_BYTES + 1)
    except OSError as error:
        raise InputError(
            _("{path}: cannot be read: {reason}", path=path, reason=error.strerror or error)
        ) from error
    return parse_edges(data, str(path))


def parse_edges(data: bytes, name: str) -> PulseTrain:
    """Edges from the bytes of an edge file; `name` says in errors which file it is.

    Raises InputError as read_edge_file does.
    """
    text = _text(data, name)
    rows = _rows(text)
    if not rows:
        raise _refusal(name, [_fault(1, _("no line of data"), _("the header time_s,direction"))])
    columns = _columns(rows[0], name)
    if len(rows) == 1:
        raise _refusal(name, [_fault(rows[0].line, _("no edge after it"), _("a row an edge"))])
    if len(rows) - 1 > MAX_EDGES:
        found = _("{count} edges", count=len(rows) - 1)
        most = _("at most {most}: one run in a file", most=MAX_EDGES)
        raise _refusal(name, [_fault(rows[MAX_EDGES + 1].line, found, most)])
    faults = _Complaints()
    above = [line.removesuffix("\r") for line in text.split("\n", rows[0].line)[: rows[0].line]]
    train = with_keys(_train(rows[1:], columns, faults), above, faults)
    if faults:
        raise _refusal(name, faults)
    return train


def edge_text(train: PulseTrain) -> str:
    """The text of an edge file; reading it gives the same train back, bit for bit.

    Raises InputError when there is no edge to write.
    """
    if not len(train):
        raise InputError(_("There is no edge to write: an edge file needs at least one."))
    columns = [map(repr, train.time_s.tolist()), map(str, train.direction.tolist())]
    if train.missing:
        columns.append(map(str, train.number.tolist()))
    lines = map(",".join, zip(*columns, strict=True))
    return "\n".join([*key_lines(train), ",".join(HEADERS[len(columns) - 1]), *lines, ""])


def write_edge_file(path: Path | str, train: PulseTrain) -> None:
    """Write an edge file; an existing file is replaced only once the new one is whole.

    Raises InputError when the place cannot be written or there is no edge.
    """
    write_whole(Path(path), edge_text(train))


def _refusal(name: str, faults: list[Fault]) -> InputError:
    more = _("and {count} more", count=len(faults) - 1)
    others = f" ({more})" if len(faults) > 1 else ""
    return InputError(f"{name}: {faults[0]}{others}", tuple(faults))


def _fault(line: int, found: str, expected: str) -> Fault:
    return Fault(_("line {line}", line=line), found, expected)


def _text(data: bytes, name: str) -> str:
    if not data:
        raise InputError(
            _("{name}: the file is empty; expected the header time_s,direction", name=name)
        )
    if len(data) > MAX_BYTES:
        raise InputError(
            _(
                "{name}: larger than {most} MiB, which no run's edges need",
                name=name,
                most=MAX_BYTES >> 20,
            )
        )
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise InputError(
            _("{name}: line 1: the file is UTF-16; save it as CSV in UTF-8", name=name)
        )
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        raise InputError(
            _("{name}: line {line}: not UTF-8 text; is this an edge file?", name=name, line=line)
        ) from error
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise InputError(
            _("{name}: line {line}: holds zero bytes; is this an edge file?", name=name, line=line)
        )
    return text


def _rows(text: str) -> list[_Row]:
    """Lines that carry data; only LF and CRLF end a line."""
    lines = text.split("\n")
    rows = []
    for i, line in enumerate(lines):
        bare = line.removesuffix("\r")
        if bare.strip() and not bare.startswith("#"):
            fields = tuple(_unquoted(field.strip()) for field in bare.split(","))
            rows.append(_Row(i + 1, fields, i + 1 < len(lines)))
    return rows


def _unquoted(field: str) -> str:
    quoted = len(field) >= 2 and field[0] == field[-1] == '"'
    return field[1:-1].strip() if quoted else field


def _columns(header: _Row, name: str) -> int:
    if header.fields in HEADERS:
        return len(header.fields)
    found = ",".join(header.fields)
    hint = ""
    if ";" in found:
        hint = _(": save with commas between columns and points in numbers")
    elif _NUMBER.fullmatch(header.fields[0]):
        hint = _(": the file starts with numbers, the header is missing")
    elif set(HEADERS[1]) <= set(header.fields):
        hint = _(": the other columns are not part of an edge file")
    header_line = _("the header time_s,direction") + hint
    raise _refusal(name, [_fault(header.line, repr(found[:60]), header_line)])


def _train(rows: list[_Row], columns: int, faults: _Complaints) -> PulseTrain:
    time_s = np.zeros(len(rows))
    direction = np.ones(len(rows), dtype=np.int8)
    number = np.arange(len(rows), dtype=np.int64)
    before = float("-inf")
    for i, row in enumerate(rows):
        if len(faults) >= MAX_FAULTS:
            break
        if not _whole(row, columns, faults):
            continue
        time_s[i] = before = _time(row, before, faults)
        if columns > 1:
            direction[i] = _direction(row, faults)
        if columns > 2:
            number[i] = _edge_number(row, number[i - 1] if i else None, faults)
    if columns == 1 and not faults:
        _check_last(rows, faults)
    return PulseTrain(time_s, direction, number)


def _whole(row: _Row, columns: int, faults: _Complaints) -> bool:
    if len(row.fields) == columns and all(row.fields):
        return True
    found = repr(",".join(row.fields)[:60])
    if len(row.fields) > columns:
        hint = _(" (decimal comma? write points)") if len(row.fields) == columns * 2 else ""
        expected = many("{count} column", "{count} columns", columns)
        faults.add(row.line, found, expected + hint)
    elif ";" in found:
        faults.add(row.line, found, _("commas between columns and points in numbers"))
    else:
        faults.add(
            row.line, _("{found}, a row cut short", found=found), ",".join(HEADERS[columns - 1])
        )
    return False


def _time(row: _Row, before: float, faults: _Complaints) -> float:
    text = row.fields[0]
    value = float(text) if _NUMBER.fullmatch(text) else float("nan")
    if not isfinite(value):
        faults.add(row.line, repr(text[:40]), _("a time in seconds"))
    elif abs(value) > MAX_TIME_S:
        faults.add(
            row.line, text[:40], _("a time in seconds below {most}", most=format(MAX_TIME_S, "g"))
        )
    elif value < before:
        cut = "" if row.ended else _(" (is the last row cut short?)")
        expected = _("a time not before {before}, time goes backwards", before=repr(before))
        faults.add(row.line, text[:40], expected + cut)
    else:
        return value
    return before


def _direction(row: _Row, faults: _Complaints) -> int:
    text = row.fields[1]
    value = float(text) if _NUMBER.fullmatch(text) else 0.0
    if value in (1.0, -1.0):
        return int(value)
    found = repr(text[:40])
    if not row.ended and text == "-":
        found = _("{found}, a row cut short", found=found)
    faults.add(row.line, found, _("direction 1 (forward) or -1 (backward)"))
    return 1


def _edge_number(row: _Row, before: int | None, faults: _Complaints) -> int:
    text = row.fields[2]
    value = int(text) if re.fullmatch(r"-?\d{1,18}", text, re.ASCII) else None
    if value is None:
        faults.add(row.line, repr(text[:40]), _("the edge's number, an integer"))
    elif before is not None and value <= before:
        expected = _("a number above {before}, edges are numbered in order", before=before)
        faults.add(row.line, text, expected)
    elif before is not None and value > before + MAX_GAP:
        expected = _(
            "a number at most {gap} above {before}, the one before it", gap=MAX_GAP, before=before
        )
        faults.add(row.line, text, expected)
    else:
        return value
    return 0 if before is None else before + 1


def _check_last(rows: list[_Row], faults: _Complaints) -> None:
    """See the head of this file: a number at the end of the file may be the front of a number."""
    last = rows[-1]
    if last.ended or len(rows) < 2:
        return
    if _decimals(last.fields[0]) < median_low(_decimals(row.fields[0]) for row in rows[:-1]):
        found = _("{found}, a row cut short", found=repr(last.fields[0]))
        faults.add(last.line, found, _("a whole number, line end"))


def _decimals(text: str) -> int:
    mantissa = re.split("[eE]", text)[0]
    return len(mantissa.partition(".")[2])
