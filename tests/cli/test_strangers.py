"""Ports with something else than a board on them, as real pseudo-terminals: one clear sentence."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from random import Random

import pytest

from unspool.cli.entry import run
from unspool.instrument.firmware import writer
from unspool.instrument.strangers import Stranger, sentence_of
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal

Answer = Callable[[bytes], bytes]


def modem(heard: bytes) -> bytes:
    """Echoes, and answers each line."""
    return heard + b"\r\nERROR\r\n" * heard.count(b"\r")


def phone_without_echo(heard: bytes) -> bytes:
    return b"\r\nOK\r\n" if b"AT\r" in heard else b""


def board_at_another_rate(_heard: bytes) -> bytes:
    return Random(7).randbytes(40)


KINDS: dict[str, tuple[Answer, Stranger]] = {
    "modem": (modem, Stranger.MODEM),
    "phone": (phone_without_echo, Stranger.MODEM),
    "loose wires": (lambda heard: heard, Stranger.ECHO),
    "sketch": (lambda _: b"speed 1.25 m/s\r\n", Stranger.TEXT),
    "another rate": (board_at_another_rate, Stranger.NOISE),
    "nothing": (lambda _: b"", Stranger.NOTHING),
}


@contextmanager
def port_with(answer: Answer) -> Iterator[str]:
    terminal, over = PseudoTerminal(), threading.Event()

    def answering() -> None:
        while not over.wait(0.05):
            if said := answer(terminal.heard()):
                terminal.send(said)

    thread = threading.Thread(target=answering)
    thread.start()
    try:
        yield terminal.port
    finally:
        over.set()
        thread.join()
        terminal.close()


@pytest.fixture(autouse=True)
def soon(monkeypatch: pytest.MonkeyPatch) -> None:
    """A test's other ends are there from the start."""
    monkeypatch.setattr("unspool.instrument.record.sensor_check.QUESTION_S", 0.2)
    monkeypatch.setattr("unspool.instrument.record.sensor_check.SILENT_S", 0.8)
    monkeypatch.setattr("unspool.instrument.firmware.onto_board.LOOK_S", 0.8)


@pytest.mark.parametrize("kind", KINDS)
def test_check_says_who_is_there(kind: str, capsys: pytest.CaptureFixture[str]) -> None:
    answer, who = KINDS[kind]
    with port_with(answer) as port:
        assert run(["check", "--cable", port, "--seconds", "5"]) == 2
        assert capsys.readouterr().err.splitlines() == [f"unspool: {sentence_of(who, port)}"]


@pytest.mark.parametrize("kind", KINDS)
def test_flash_writes_to_nothing_that_is_certainly_no_board(
    kind: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """All else may be a board with another program, or a new one: its boot loader is asked."""
    asked: list[str] = []

    def loader(port: str, *_: object) -> None:
        asked.append(port)
        raise writer.LinkError(f"no boot loader answers on {port}")

    monkeypatch.setattr("unspool.instrument.firmware.onto_board.find_writer", lambda: "avrdude")
    monkeypatch.setattr("unspool.instrument.firmware.onto_board.ask_loader", loader)
    answer, who = KINDS[kind]
    with port_with(answer) as port:
        assert run(["flash", "--cable", port, "--board", "atmega328p"]) == 2
        (complaint,) = capsys.readouterr().err.splitlines()
        if who in (Stranger.MODEM, Stranger.ECHO):
            assert complaint == f"unspool: {sentence_of(who, port)}"
            assert asked == []
        else:
            assert "no boot loader answers" in complaint
            assert asked == [port]
