"""Errors say whose fault it is and what to do.

Every error that a user can meet derives from UnspoolError and carries one sentence that says what,
where and what to do. The command line prints that sentence and exits with `exit_status`; anything
that is not an UnspoolError is our own fault and exits with 1.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace

from unspool.language import _


class UnspoolError(Exception):
    """Base of all errors that have a sentence for the user."""

    exit_status = 2

    @property
    def sentence(self) -> str:
        """What it says, to keep for a later reader: a Phrase if it was raised with one."""
        said: str = self.args[0]
        return said


@dataclass(frozen=True)
class Fault:
    """One fault of an input: where it is, what was found there and what is expected."""

    where: str
    found: str
    expected: str

    def __str__(self) -> str:
        return _(
            "{where}: found {found}, expected {expected}",
            where=self.where,
            found=self.found,
            expected=self.expected,
        )


class InputError(UnspoolError):
    """A file or an argument that the user gave cannot be used.

    `faults` holds every fault of the input, never only the first.
    """

    def __init__(self, message: str, faults: tuple[Fault, ...] = ()) -> None:
        super().__init__(message)
        self.faults = faults


class ChangedMeanwhileError(InputError):
    """Somebody else changed the thing since it was shown to the one who changes it now."""


def one_fault(where: str, found: str, expected: str) -> InputError:
    """The error of a single fault, which is its sentence."""
    fault = Fault(where, found, expected)
    return InputError(str(fault), (fault,))


def all_faults(head: str, faults: Iterable[Fault]) -> InputError:
    """The error of several faults: what they are of, then one a line."""
    carried = tuple(faults)
    return InputError(f"{head}:" + "".join(f"\n  {fault}" for fault in carried), carried)


def with_other_names(error: InputError, other: Callable[[str], str]) -> InputError:
    """The error of `all_faults` with each place under the name that `other` gives it."""
    faults = (replace(fault, where=other(fault.where)) for fault in error.faults)
    return all_faults(str(error).partition(":")[0], faults)


class LinkError(UnspoolError):
    """The way to the board failed: no such port, port busy, cable pulled, radio out of reach."""


class BoardError(UnspoolError):
    """The board answers, but not as this version of unspool needs it."""


class BoardTakenError(BoardError):
    """This program records the board already, over another link."""


class StoreError(UnspoolError):
    """The store cannot be read or written: locked, full, damaged, or made by a newer unspool."""


class StoreWaitError(StoreError):
    """The store cannot be written now, but perhaps soon: another program locks it, no room."""


class CaptureTakenError(StoreError):
    """Another recorder goes on with the board's capture, so this one must not write to it."""


class OwnFaultError(UnspoolError):
    """unspool itself made a mistake in one part of a job; the rest of the job can go on."""

    exit_status = 1


@contextmanager
def own_faults(where: str) -> Iterator[None]:
    """Turns any error inside that is nobody else's fault into an OwnFaultError.

    For work on one of several things, such as the reading of one run, that must not end the rest.
    """
    try:
        yield
    except (UnspoolError, OSError):
        raise
    except Exception as error:  # of any kind: it is our own
        raise OwnFaultError(
            _(
                "{where}: unspool made a mistake of its own ({fault}); please report it",
                where=where,
                fault=": ".join((type(error).__name__, str(error))),
            )
        ) from error
