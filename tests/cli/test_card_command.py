"""`unspool card` writes a file whole, of the kind that its name says, or says why not."""

from __future__ import annotations

from pathlib import Path

import pytest

from unspool.cli.entry import run
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

CARD = ["card", str(SANDPIPER), "--track", str(CORRIDOR)]


def test_both_forms(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    html, pdf = tmp_path / "card.html", tmp_path / "CARD.PDF"
    assert run([*CARD, "--out", str(html)]) == 0
    assert run([*CARD, "--out", str(pdf)]) == 0
    assert html.read_text(encoding="utf-8").startswith("<!doctype html>")
    assert pdf.read_bytes().startswith(b"%PDF-")
    assert capsys.readouterr().out.splitlines() == [
        f"{html}: the winding card of Sandpiper",
        f"{pdf}: the winding card of Sandpiper",
    ]


def test_other_turns(tmp_path: Path) -> None:
    out = tmp_path / "card.html"
    assert run([*CARD, "--turns", "run=10.25", "--out", str(out)]) == 0
    text = out.read_text(encoding="utf-8")
    assert "10.25" in text
    assert ">start<" not in text


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (
            ["--out", "card.txt"],
            "--out: found card.txt, expected a name that ends in",
        ),
        (
            ["--out", "c.pdf", "--turns", "3,4,5"],
            "--turns: found 3 numbers, expected 2, for",
        ),
        (["--out", "c.pdf", "--turns", "3,x"], '--turns: found "x", expected a tier and its turns'),
        (["--out", "c.pdf", "--turns", "run=3,run=4"], '--turns: found "run" twice'),
        (["--out", "c.pdf", "--turns", "run=x"], '--turns: found "run=x"'),
        (["--out", "c.pdf", "--turns", "big=3"], "expected tiers of the drum: start, run"),
        (["--out", "c.pdf", "--turns", "run=0"], "these turns are no winding"),
        (["--out", "no/such/folder/c.pdf"], "cannot be written"),
        ([], "--out is missing"),
    ],
)
def test_refusals(
    options: list[str], told: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    assert run([*CARD, *options]) == 2
    assert told in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_a_card_that_is_there_stays(tmp_path: Path) -> None:
    out = tmp_path / "card.pdf"
    out.write_text("mine")
    assert run([*CARD, "--out", str(out)]) == 2
    assert out.read_text() == "mine"
    assert run([*CARD, "--out", str(out), "--force"]) == 0
    assert out.read_bytes().startswith(b"%PDF-")
