"""Reading again on a server: any number of processes and machines take runs from one queue.

The queue is procrastinate's, in a schema of its own beside the store's tables, one for each code
that reads. A process that dies leaves its task behind. The runs are still due, so the next process
that looks puts them into the queue again. To read a run twice does no harm.
"""

from __future__ import annotations

import asyncio
import logging
from collections.abc import Sequence

from procrastinate import App, PsycopgConnector
from procrastinate.exceptions import AlreadyEnqueued, ConnectorException
from procrastinate.jobs import Job, Status
from procrastinate.schema import SchemaManager
from procrastinate.types import JSONValue

from unspool.errors import StoreError
from unspool.kept.again import AT_ONCE, Progress, due, read_part
from unspool.kept.code_version import code_version
from unspool.store import RunRow, Server, Store
from unspool.store.server_errors import server_error

SCHEMA, TASK = "unspool_tasks", "read_runs"
LOOK_S = 1.0  # from one look at the others' tasks to the next
DEAD_S = 30.0  # without a sign of life


class Together:
    """Puts what is due into the queue, and works on it until nothing is due any more."""

    def __init__(self, store: Store, server: Server, progress: Progress) -> None:
        self._store, self._server, self._progress = store, server, progress
        # it becomes part of a name of at most 63 bytes
        self._queue = f"reading:{code_version()[:16]}"
        self._rows: dict[str, RunRow] = {}
        self._all = self._made_before = 0
        self._fault: StoreError | None = None
        # a task that fails is said by its own error, not by a trace on the terminal
        logging.getLogger("procrastinate").setLevel(logging.CRITICAL)
        address = server.url.replace("+psycopg", "", 1)
        options = {"options": f"-c search_path={SCHEMA}"}
        self._app = App(connector=PsycopgConnector(conninfo=address, kwargs=options, max_size=4))
        self._task = self._app.task(queue=self._queue, name=TASK)(self._read)

    def run(self) -> int:
        """Returns how many runs were due. Raises StoreError."""
        self._store.with_schema(SCHEMA, SchemaManager.get_schema())
        try:
            asyncio.run(self._work())
        except ConnectorException as error:
            raise server_error(self._server, error.__cause__ or error) from error
        return self._all

    async def _work(self) -> None:
        async with self._app.open_async():
            while rows := await self._look():
                await self._put(rows, await self._under_way())
                await self._app.run_worker_async(
                    queues=[self._queue],
                    wait=False,
                    install_signal_handlers=False,
                    listen_notify=False,
                    delete_jobs="always",
                    stalled_worker_timeout=DEAD_S,
                )
                if self._fault is not None:
                    raise self._fault
                while await self._under_way():
                    await asyncio.sleep(LOOK_S)

    async def _look(self) -> list[RunRow]:
        rows = await asyncio.to_thread(due, self._store)
        self._rows = {row.id: row for row in rows}
        if not self._all:
            self._all = len(rows)
            self._made_before = self._store.count_lines(code_version())
        self._progress(self._all - len(rows), self._all)
        return rows

    async def _put(self, rows: Sequence[RunRow], under_way: set[str | None]) -> None:
        """Runs of neighbouring ids are one task, so that all processes make the same tasks."""
        parts: dict[str, list[JSONValue]] = {}
        for row in rows:
            parts.setdefault(f"{self._queue}:{int(row.id) // AT_ONCE}", []).append(row.id)
        for name, runs in parts.items():
            if name not in under_way:
                try:
                    await self._task.configure(queueing_lock=name, lock=name).defer_async(runs=runs)
                except AlreadyEnqueued:
                    continue

    async def _under_way(self) -> set[str | None]:
        """Names of the tasks that others work on. Those of dead processes are taken away."""
        jobs = self._app.job_manager
        dead = await jobs.get_stalled_jobs(queue=self._queue, seconds_since_heartbeat=DEAD_S)
        for job in dead:
            await jobs.finish_job_by_id_async(_id(job), Status.FAILED, delete_job=True)
        doing = await jobs.list_jobs_async(queue=self._queue, status=Status.DOING.value)
        return {job.queueing_lock for job in doing}

    def _read(self, runs: list[str]) -> None:
        """One task. What is no longer due was read by somebody else."""
        try:
            read_part(self._store, [self._rows[run] for run in runs if run in self._rows])
            made = self._store.count_lines(code_version())
        except StoreError as error:
            self._fault = error
            raise
        self._progress(min(self._all, max(0, made - self._made_before)), self._all)


def _id(job: Job) -> int:
    assert job.id is not None  # it is in the database
    return job.id
