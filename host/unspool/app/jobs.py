"""Jobs: slow work beside the pages. A job has a key, and is done once for each key.

One thread works on one job at a time, so that the recording beside it keeps a core. Who may change
things comes first: a guest's job waits, and starts again later if it is under way. A guest has one
job; a new one replaces it. A job that nobody asks for any more is dropped.
"""

from __future__ import annotations

import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from contextvars import copy_context
from functools import partial
from threading import Condition, Event, Thread
from typing import Any, Generic, TypeVar, cast

from unspool.app.permissions import client, may_change
from unspool.errors import InputError
from unspool.language import Phrase, _, later

# Results are a few MB at most.
KEPT = 24
# Long enough for kept results and small work, which then need no page that says "working".
PATIENCE_S = 0.4
# A page under way asks twice a second, a download ten times.
ABANDONED_S = 15.0
MOST_WAITING = 40
BUSY = later("many people are asking for something at once; try again in a minute")
REPLACED = later("this was dropped, because something else was asked for since; ask again")
STOPPED = later("it was stopped")

T = TypeVar("T")
Doing = Callable[[], str]  # a few words on how far the work is, in the language of who reads them
Progress = Callable[[Doing], None]


def waiting() -> str:
    """What a job does that is not begun."""
    return _("waiting for its turn")


class _PutOffError(Exception):
    """Stops a job's work from inside: an owner waits, or nobody does."""


class _StoppedError(Exception):
    """Ends a job's work from inside: nobody wants it any more."""


class Job(Generic[T]):
    """Work under way or done. `doing` returns in a few words how far it is."""

    def __init__(self, key: Hashable, work: Callable[[Progress], T]) -> None:
        self.key, self._work = key, work
        self.of_owner, self.client = may_change.get(), client.get()
        self._reader = copy_context()  # the work speaks to who asked first, as its errors do
        self.asked_at = time.monotonic()
        self._done = Event()
        self._result: T | None = None
        self.error: Exception | None = None
        self.doing: Doing = waiting
        self.stopped = False

    def wait(self, seconds: float | None) -> bool:
        """Whether it is done within this time. None waits until it is."""
        return self._done.wait(seconds)

    def result(self) -> T:
        """Call it only when the job is done. Raises what the work raised."""
        if self.error is not None:
            raise self.error
        return cast(T, self._result)

    def fail(self, why: str) -> None:
        self.error = InputError(Phrase(why))
        self._done.set()

    @property
    def abandoned(self) -> bool:
        return not self.of_owner and time.monotonic() - self.asked_at > ABANDONED_S

    def run(self, progress: Progress) -> None:
        """Raises only _PutOffError; what the work raises comes out of `result`."""
        try:
            self._result = self._reader.run(self._work, progress)
        except _PutOffError:
            raise
        except _StoppedError:
            self.error = InputError(Phrase(STOPPED))
        except Exception as error:  # `result` raises it again, in the thread that asks
            self.error = error
        self._done.set()


class Jobs:
    """Safe from several threads."""

    def __init__(self, patience_s: float = PATIENCE_S) -> None:
        self._patience_s = patience_s
        self._jobs: OrderedDict[Hashable, Job[Any]] = OrderedDict()
        self._waiting: list[Job[Any]] = []
        self._changed = Condition()
        self._worker: Thread | None = None

    def request(
        self, key: Hashable, work: Callable[[Progress], T], patience_s: float | None = None
    ) -> Job[T]:
        """The job of this key, started if it is new, after a moment in which it may end.

        Raises InputError when too many guests wait.
        """
        job = self._job(key, work)
        job.wait(self._patience_s if patience_s is None else patience_s)
        return job

    def stop(self, key: Hashable) -> None:
        """Drops the job of this key if it waits; if it is at work, it ends at its next step."""
        with self._changed:
            job = self._jobs.get(key)
            if job in self._waiting:
                self._drop(job, STOPPED)
            elif job is not None:
                job.stopped = True

    def _job(self, key: Hashable, work: Callable[[Progress], T]) -> Job[T]:
        with self._changed:
            job = self._jobs.get(key)
            # Work that failed may succeed the next time.
            if job is None or job.error is not None:
                job = self._add(Job(key, work))
            job.asked_at = time.monotonic()
            job.of_owner = job.of_owner or may_change.get()
            self._jobs.move_to_end(key)
            return job

    def _add(self, job: Job[T]) -> Job[T]:
        if not job.of_owner:
            self._make_room(job.client)
        self._jobs[job.key] = job
        self._waiting.append(job)
        self._forget_old()
        if self._worker is None:
            self._worker = Thread(target=self._work, name="jobs", daemon=True)
            self._worker.start()
        self._changed.notify()
        return job

    def _make_room(self, guest: str) -> None:
        for old in [one for one in self._waiting if not one.of_owner]:
            if old.client == guest or old.abandoned:
                self._drop(old)
        if sum(not one.of_owner for one in self._waiting) >= MOST_WAITING:
            raise InputError(Phrase(BUSY))

    def _drop(self, job: Job[Any], why: str = REPLACED) -> None:
        self._waiting.remove(job)
        self._jobs.pop(job.key, None)
        job.fail(why)

    def _forget_old(self) -> None:
        """Results that nobody asked for lately make room; a job under way stays."""
        done = [key for key, job in self._jobs.items() if job.wait(0.0)]
        for key in done[: max(len(self._jobs) - KEPT, 0)]:
            del self._jobs[key]

    def _work(self) -> None:
        while True:
            job = self._next()
            try:
                job.run(partial(self._progress, job))
            except _PutOffError:
                self._put_off(job)

    def _next(self) -> Job[Any]:
        with self._changed:
            while True:
                for old in [one for one in self._waiting if one.abandoned]:
                    self._drop(old)
                if self._waiting:
                    job = min(self._waiting, key=lambda one: not one.of_owner)
                    self._waiting.remove(job)
                    return job
                self._changed.wait()

    def _progress(self, job: Job[Any], doing: Doing) -> None:
        job.doing = doing
        if job.stopped:
            raise _StoppedError
        owner_waits = any(one.of_owner for one in self._waiting)
        if not job.of_owner and (owner_waits or job.abandoned):
            raise _PutOffError

    def _put_off(self, job: Job[Any]) -> None:
        with self._changed:
            job.doing = waiting
            self._waiting.append(job)
