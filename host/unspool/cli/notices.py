"""The recorder's notices as lines in the terminal."""

from __future__ import annotations

from unspool.cli.repeats import Repeats
from unspool.instrument.record.notices import (
    BoardSeen,
    BoardTrouble,
    EdgesMissed,
    LinkChanged,
    Notice,
    Phase,
    PhaseChanged,
)
from unspool.render.words.findings import sentence
from unspool.render.words.units import quantity


class NoticeLines:
    """Turns notices into lines, and repeats none more often than its count asks for."""

    def __init__(self) -> None:
        self._phase: Phase | None = None
        self._steps = 0
        self._link = ""
        self._was_up = False
        self._gap = ""
        self._repeats = Repeats()

    def line(self, notice: Notice) -> str:
        """A line for the notice; empty if it holds nothing new for the user."""
        match notice:
            case LinkChanged(up=up, finding=finding):
                return self._link_line(up, sentence(finding))
            case BoardSeen(firmware=firmware, boot=boot):
                return self._repeats.line(f"board: {firmware}, boot {boot}")
            case BoardTrouble():
                return self._repeats.line(f"! {sentence(notice.finding)}")
            case EdgesMissed():
                return self._gap_line(f"! {sentence(notice.finding)}")
            case PhaseChanged():
                return self._phase_line(notice)
            case _:
                return ""

    def _link_line(self, up: bool, text: str) -> str:
        """If the link was never up, the command ends with an error that says so."""
        self._was_up |= up
        if text == self._link or not self._was_up:
            return ""
        self._link = text
        return text if up else f"! {text}"

    def _gap_line(self, text: str) -> str:
        """Each gap has a number of its own, which must be said."""
        new, self._gap = text != self._gap, text
        return text if new else self._repeats.line(text)

    def _phase_line(self, to: PhaseChanged) -> str:
        before, self._phase = self._phase, to.phase
        steps, self._steps = self._steps, len(to.wound_steps)
        if to.phase is before:
            return _mark_line(to) if self._steps > steps else ""
        match to.phase:
            case Phase.WAITING:
                return "ready to wind"
            case Phase.WINDING:
                return "winding: keep hands and feet from under the weight"
            case Phase.READY:
                return f"wound: {quantity(to.wound_turns, 'turns')}"
            case Phase.RUNNING:
                return "running"
            case _:
                return ""


def _mark_line(to: PhaseChanged) -> str:
    """Comes with the first slot that is wound on the next tier."""
    return f"next tier, after {quantity(sum(to.wound_steps[:-1]), 'turns')}"
