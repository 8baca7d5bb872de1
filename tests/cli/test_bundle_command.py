"""`unspool bundle` and `unspool import` of its file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from cli.shell import complaint
from sample_run import sample_motion
from unspool.cli.entry import run
from unspool.reading.edges.edge_file import write_edge_file
from unspool.store import Field, Store
from unspool.virtual.demo.scenario import SANDPIPER

Capsys = pytest.CaptureFixture[str]


@pytest.fixture
def here(tmp_path: Path) -> list[str]:
    """The options that name a store with two runs."""
    path = tmp_path / "here.sqlite"
    train = sample_motion().train
    with Store.open(path) as store:
        for number, edges in enumerate((train, train.as_seen_by(1)), 1):
            text = SANDPIPER.read_text("utf-8") + "# x\n" * number
            store.add_import(edges, text, source="a.csv", said={Field.NOTE: "x"}, who="Ada")
    return ["--store", str(path)]


def test_runs_go_to_another_store_once(here: list[str], tmp_path: Path, capsys: Capsys) -> None:
    file, there = str(tmp_path / "two.bundle"), ["--store", str(tmp_path / "there.sqlite")]
    assert run(["bundle", "2", "1", "2", "-o", file, *here]) == 0
    assert capsys.readouterr().err.strip().endswith(f"{file}: 2 runs")
    assert run(["import", file, *there, "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == {
        "unspool": 1,
        "runs": [{"run": "1", "already_there": False}, {"run": "2", "already_there": False}],
    }
    for store in (there, here):
        assert run(["import", file, *store]) == 0
        assert capsys.readouterr().out.startswith("The store has all 2 attempts already")
    with Store.open(tmp_path / "there.sqlite") as store:
        assert [(row.source, row.builder_note) for row in store.runs()] == [("a.csv", "x")] * 2


def test_what_was_added_is_said(here: list[str], tmp_path: Path, capsys: Capsys) -> None:
    one, both = str(tmp_path / "one"), str(tmp_path / "both")
    assert run(["bundle", "1", "--out", one, *here]) == 0
    assert run(["bundle", "1", "2", "--out", both, *here]) == 0
    there = ["--store", str(tmp_path / "there.sqlite")]
    capsys.readouterr()
    for file in (one, both, one):
        assert run(["import", file, *there]) == 0
    assert capsys.readouterr().out.splitlines() == [
        "Added one attempt. It is run 1.",
        "Added one attempt. Of 2 the store had 1 already. It is run 2.",
        "The store has this attempt already; nothing was added.",
    ]


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["bundle", "7", "-o", "x"], "has no run '7'"),
        (["bundle", "a.csv", "-o", "x"], "has no run 'a.csv'"),
        (["import", "{bundle}", "--note", "x"], "give no other option"),
        (["import", "{bundle}", "--car", str(SANDPIPER)], "give no other option"),
        (["import", "{edges}"], "does not say which car ran"),
        (["import", "{none}"], "cannot be read"),
        (["bundle", "1", "-o", "{bundle}"], "exists already"),
    ],
)
def test_what_cannot_be_done_is_said(
    here: list[str], tmp_path: Path, capsys: Capsys, arguments: list[str], says: str
) -> None:
    names = {name: str(tmp_path / name) for name in ("bundle", "edges", "none")}
    assert run(["bundle", "1", "-o", names["bundle"], *here]) == 0
    write_edge_file(names["edges"], sample_motion().train)
    capsys.readouterr()
    assert says in complaint([*(one.format(**names) for one in arguments), *here], capsys)
