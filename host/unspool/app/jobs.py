"""Jobs: slow work beside the pages. A job has a key, and is done once for each key."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Event, Lock, Thread
from typing import Any, Generic, TypeVar, cast

# Results are a few MB at most.
KEPT = 24
# Long enough for kept results and small work, which then need no page that says "working".
PATIENCE_S = 0.4

T = TypeVar("T")
Progress = Callable[[str], None]  # takes a few words on how far the work is


class Job(Generic[T]):
    """Work under way or done. `doing` says in a few words how far it is."""

    def __init__(self, work: Callable[[Progress], T]) -> None:
        self._work = work
        self._done = Event()
        self._result: T | None = None
        self.error: Exception | None = None
        self.doing = "waiting for its turn"

    def wait(self, seconds: float | None) -> bool:
        """Whether it is done within this time. None waits until it is."""
        return self._done.wait(seconds)

    def result(self) -> T:
        """Call it only when the job is done. Raises what the work raised."""
        if self.error is not None:
            raise self.error
        return cast(T, self._result)

    def run(self) -> None:
        try:
            self._result = self._work(self._progress)
        except Exception as error:  # `result` raises it again, in the thread that asks
            self.error = error
        self._done.set()

    def _progress(self, doing: str) -> None:
        self.doing = doing


class Jobs:
    """One at a time, so that the recording beside it keeps a core. Safe from several threads."""

    def __init__(self, patience_s: float = PATIENCE_S) -> None:
        self._patience_s = patience_s
        self._jobs: OrderedDict[Hashable, Job[Any]] = OrderedDict()
        self._lock, self._turn = Lock(), Lock()

    def request(self, key: Hashable, work: Callable[[Progress], T]) -> Job[T]:
        """The job of this key, started if it is new, after a moment in which it may end."""
        job = self._job(key, work)
        job.wait(self._patience_s)
        return job

    def _job(self, key: Hashable, work: Callable[[Progress], T]) -> Job[T]:
        with self._lock:
            job = self._jobs.get(key)
            # Work that failed may succeed the next time.
            if job is None or job.error is not None:
                job = self._start(key, work)
            self._jobs.move_to_end(key)
            return job

    def _start(self, key: Hashable, work: Callable[[Progress], T]) -> Job[T]:
        job = self._jobs[key] = Job(work)
        while len(self._jobs) > KEPT:
            self._jobs.popitem(last=False)
        Thread(target=self._run, args=(job,), name="job", daemon=True).start()
        return job

    def _run(self, job: Job[Any]) -> None:
        with self._turn:
            job.run()
