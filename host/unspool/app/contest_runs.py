"""ContestRuns: recorded runs to the attempts that were called, on a thread of its own.

A run that is recorded here comes at once. One of a station, or of another program, is found in the
store while any page watches a contest.
"""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from logging import getLogger

from unspool.app.contest_hub import ContestHub
from unspool.app.recordings import BoardRun
from unspool.errors import StoreError, StoreWaitError
from unspool.judging import attach_late, attach_run

_ONE_BY_ONE = ThreadPoolExecutor(1, "attach")


class ContestRuns:
    """Never raises: the runs are saved already, and the judge has the tape."""

    def __init__(self, hub: ContestHub) -> None:
        self._hub = hub
        self._newest: tuple[int, int] | None = None
        self._looking = False

    def recorded(self, run: BoardRun) -> None:
        """Any thread."""
        _ONE_BY_ONE.submit(self._take, run)

    def look(self) -> None:
        """For runs that others recorded; any thread, and as often as one likes."""
        if not self._looking:
            self._looking = True
            _ONE_BY_ONE.submit(self._find)

    def _take(self, run: BoardRun) -> None:
        try:
            if contest := attach_run(self._hub.store, run.run_id, run.car):
                self._hub.changed(contest)
        except StoreWaitError:
            self._newest = None  # the next look finds it
        except Exception:
            getLogger(__name__).exception("run %s could not be attached", run.run_id)

    def _find(self) -> None:
        contests = self._hub.store.contests
        try:
            newest = contests.newest()
            if newest != self._newest:
                for contest in contests.listed():
                    self._attach_late(contest)
                self._newest = newest
        except StoreError:
            return  # the pages say so, and the next look tries again
        finally:
            self._looking = False

    def _attach_late(self, contest: str) -> None:
        """Raises StoreWaitError. A contest that cannot be read is no obstacle to the others."""
        try:
            if not self._hub.state(contest).closed and attach_late(self._hub.store, contest):
                self._hub.changed(contest)
        except StoreWaitError:
            raise
        except Exception:
            getLogger(__name__).exception("runs could not be attached in contest %s", contest)
