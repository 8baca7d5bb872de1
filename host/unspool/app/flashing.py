"""Flashing: the firmware put on a board from a page, one board at a time, in its own thread."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from threading import Lock, Thread
from typing import Any

from unspool.app.boards import CABLE
from unspool.errors import InputError, UnspoolError
from unspool.instrument.firmware import BOARDS, Caller, OnStage, Stage, Wanted, put_firmware
from unspool.language import Phrase, _
from unspool.render.words.values import as_sentence


class Flashing:
    """Safe to use from several threads."""

    def __init__(self) -> None:
        self._lock = Lock()
        self._thread: Thread | None = None
        self._clear()

    def _clear(self) -> None:
        self._said: list[str] = []  # a Phrase each, for readers of several languages
        self._stage: Stage | None = None
        self._fault = ""
        self._held = 0

    @property
    def is_under_way(self) -> bool:
        return self._thread is not None and self._thread.is_alive()

    def start(self, board: str, kind: str, lose: bool) -> None:
        """board: the key of a choice, "" for one that is a drive. kind: "" to find it out.

        lose: edges that the board holds may be lost. Raises InputError, also while one is written.
        """
        wanted = _wanted(board, kind)
        with self._lock:
            if self.is_under_way:
                raise InputError(_("a board is being written already"))
            self._clear()
            self._thread = Thread(target=self._run, args=(wanted, lose), name="flash", daemon=True)
            self._thread.start()

    def json(self) -> dict[str, Any]:
        """How far it is. held: edges on the board that would be lost, if that ended it."""
        with self._lock:
            stage = self._stage
            return {
                "under_way": self.is_under_way,
                "said": [as_sentence(one) for one in self._said],
                "stage": str(stage.name) if stage else "",
                "share": round(stage.share, 2) if stage else 0.0,
                "fault": as_sentence(self._fault) if self._fault else "",
                "held": self._held,
            }

    def _run(self, wanted: Wanted, lose: bool) -> None:
        caller = Caller(self._report, self._stages, self._keep if not lose else _let, waits=True)
        try:
            done = put_firmware(wanted, caller)
        except UnspoolError as error:
            with self._lock:
                self._fault = error.sentence
        else:
            self._report(Phrase("done: the board runs {firmware}", firmware=done.after.firmware))

    def _report(self, text: str) -> None:
        with self._lock:
            self._said.append(text)
            self._stage = None

    @contextmanager
    def _stages(self) -> Iterator[OnStage]:
        yield self._show

    def _show(self, stage: Stage) -> None:
        with self._lock:
            self._stage = stage

    def _keep(self, held: int, _device: str) -> None:
        with self._lock:
            self._held = held
        raise InputError(
            Phrase(
                "the board holds {held} edges that are not recorded yet: start a recording to save"
                " them first, or press the button that gives them up",
                held=held,
            )
        )


def _let(_held: int, _device: str) -> None:
    """What the board holds may be lost."""


def _wanted(board: str, kind: str) -> Wanted:
    if kind and kind not in BOARDS:
        raise InputError(_("that is no board that unspool has firmware for"))
    if board and not board.startswith(CABLE):
        raise InputError(
            _("the firmware goes over a cable: plug the board in, and choose its port")
        )
    return Wanted(board.removeprefix(CABLE) or None, BOARDS.get(kind))
