"""Jobs: slow work beside the pages, asked for by what it is about and done once."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable
from threading import Event, Lock, Thread
from typing import Any, Generic, TypeVar, cast

# Results are a few MB at most.
KEPT = 24
# Long enough for what is known already and for small work: no page then only says that it waits.
PATIENCE_S = 0.4

T = TypeVar("T")
Tell = Callable[[str], None]


class Job(Generic[T]):
    """Work under way or done; `doing` says in a few words how far it is."""

    def __init__(self, work: Callable[[Tell], T]) -> None:
        self._work = work
        self._done = Event()
        self._result: T | None = None
        self.error: Exception | None = None
        self.doing = "waiting for its turn"

    def wait(self, seconds: float | None) -> bool:
        """Whether it is done within so many seconds, None for however long it takes."""
        return self._done.wait(seconds)

    def result(self) -> T:
        """Only when done. Raises what the work raised."""
        if self.error is not None:
            raise self.error
        return cast(T, self._result)

    def run(self) -> None:
        try:
            self._result = self._work(self._tell)
        except Exception as error:  # whoever asked is told, whatever it was
            self.error = error
        self._done.set()

    def _tell(self, doing: str) -> None:
        self.doing = doing


class Jobs:
    """One at a time, so that the recording beside it keeps a core. Safe from several threads."""

    def __init__(self, patience_s: float = PATIENCE_S) -> None:
        self._patience_s = patience_s
        self._jobs: OrderedDict[Hashable, Job[Any]] = OrderedDict()
        self._lock, self._turn = Lock(), Lock()

    def ask(self, key: Hashable, work: Callable[[Tell], T]) -> Job[T]:
        """The job of this key, begun unless it was, after waiting a moment for its end."""
        job = self._job(key, work)
        job.wait(self._patience_s)
        return job

    def _job(self, key: Hashable, work: Callable[[Tell], T]) -> Job[T]:
        with self._lock:
            there = self._jobs.get(key)
            # what failed may do better the next time
            if there is None or there.error is not None:
                there = self._begin(key, work)
            self._jobs.move_to_end(key)
            return there

    def _begin(self, key: Hashable, work: Callable[[Tell], T]) -> Job[T]:
        job = self._jobs[key] = Job(work)
        while len(self._jobs) > KEPT:
            self._jobs.popitem(last=False)
        Thread(target=self._run, args=(job,), name="job", daemon=True).start()
        return job

    def _run(self, job: Job[Any]) -> None:
        with self._turn:
            job.run()
