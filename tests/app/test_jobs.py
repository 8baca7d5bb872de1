"""Slow work is done once, reports how far it is, and may fail without harm."""

from __future__ import annotations

from collections.abc import Callable
from contextvars import copy_context
from threading import Event

import pytest

from unspool.app.jobs import KEPT, MOST_WAITING, Job, Jobs, Progress
from unspool.app.permissions import client, may_change
from unspool.errors import InputError
from unspool.language import in_language


def test_the_same_question_is_answered_once() -> None:
    asked: list[str] = []
    jobs = Jobs(patience_s=60.0)

    def work(progress: object) -> int:
        asked.append("asked")
        return 7

    assert [jobs.request("seven", work).result() for _ in range(3)] == [7, 7, 7]
    assert asked == ["asked"]


def test_work_under_way_says_what_it_does() -> None:
    go_on, told = Event(), Event()
    jobs = Jobs(patience_s=0.0)

    def work(progress: object) -> str:
        assert callable(progress)
        progress(lambda: "reading run 2 of 3")
        told.set()
        go_on.wait(60.0)
        return "done"

    job = jobs.request("runs", work)
    assert told.wait(60.0)
    assert not job.wait(0.0)
    assert job.doing() == "reading run 2 of 3"
    waits = jobs.request("another", lambda progress: "later")
    assert waits.doing() == "waiting for its turn"
    with in_language("de"):  # another reader of the same job
        assert waits.doing() == "wartet, bis es an der Reihe ist"
    go_on.set()
    assert job.wait(60.0)
    assert waits.wait(60.0)
    assert (job.result(), waits.result()) == ("done", "later")


def test_what_failed_is_told_and_tried_again() -> None:
    answers = iter([InputError("no run 9"), 9])
    jobs = Jobs(patience_s=60.0)

    def work(progress: object) -> int:
        answer = next(answers)
        if isinstance(answer, Exception):
            raise answer
        return answer

    with pytest.raises(InputError, match="no run 9"):
        jobs.request("nine", work).result()
    assert jobs.request("nine", work).result() == 9


def test_only_so_much_is_kept() -> None:
    jobs = Jobs(patience_s=60.0)
    asked: list[int] = []
    for i in [*range(KEPT + 1), KEPT, 0]:
        jobs.request(i, lambda tell, i=i: asked.append(i))
    assert asked == [*range(KEPT + 1), 0]


def _as_guest(address: str) -> None:
    may_change.set(False)
    client.set(address)


def _in_context(address: str | None, ask: Callable[[], Job[str]]) -> Job[str]:
    """Asks as the owner, or as the guest at this address."""
    context = copy_context()
    if address is not None:
        context.run(_as_guest, address)
    return context.run(ask)


class Busy:
    """Jobs whose worker is held by the owner until `go` is set; `done` lists what was worked on."""

    def __init__(self) -> None:
        self.jobs, self.go, self.done = Jobs(patience_s=0.0), Event(), list[str]()
        started = Event()

        def hold(progress: object) -> str:
            started.set()
            self.go.wait(60.0)
            return "held"

        self.jobs.request("hold", hold)
        assert started.wait(60.0)

    def ask(self, name: str, address: str | None = None) -> Job[str]:
        def work(progress: object) -> str:
            self.done.append(name)
            return name

        return _in_context(address, lambda: self.jobs.request(name, work))


def test_the_owner_comes_before_guests() -> None:
    busy = Busy()
    guest = busy.ask("guest", "192.0.2.7")
    owner = busy.ask("owner")
    busy.go.set()
    assert guest.wait(60.0)
    assert owner.wait(60.0)
    assert busy.done == ["owner", "guest"]


def test_a_guest_has_one_job() -> None:
    busy = Busy()
    first, other = busy.ask("first", "192.0.2.7"), busy.ask("other", "192.0.2.8")
    second = busy.ask("second", "192.0.2.7")
    with pytest.raises(InputError, match="dropped"):
        first.result()
    busy.go.set()
    assert second.wait(60.0)
    assert other.wait(60.0)
    assert sorted(busy.done) == ["other", "second"]


def test_only_so_many_guests_wait() -> None:
    busy = Busy()
    for i in range(MOST_WAITING):
        busy.ask(f"job {i}", f"192.0.2.{i}")
    with pytest.raises(InputError, match="try again in a minute"):
        busy.ask("one more", "198.51.100.1")
    assert busy.ask("the owner's").error is None
    busy.go.set()


def test_a_guests_job_lets_the_owner_pass_and_starts_again() -> None:
    jobs, owner_asked, started = Jobs(patience_s=0.0), Event(), Event()
    done: list[str] = []

    def long(progress: Progress) -> str:
        started.set()
        owner_asked.wait(60.0)
        progress(lambda: "half")
        done.append("guest")
        return "guest"

    guest = _in_context("192.0.2.7", lambda: jobs.request("long", long))
    assert started.wait(60.0)
    owner = jobs.request("short", lambda progress: done.append("owner") or "owner")
    owner_asked.set()
    assert owner.wait(60.0)
    assert guest.wait(60.0)
    assert done == ["owner", "guest"]


def test_a_job_is_stopped_at_work_and_while_it_waits() -> None:
    begun, go_on = Event(), Event()
    jobs = Jobs(patience_s=0.0)

    def work(progress: Progress) -> str:
        begun.set()
        assert go_on.wait(60.0)
        progress(lambda: "half of it")
        return "done"

    job = jobs.request("slow", work)
    assert begun.wait(60.0)
    waits = jobs.request("next", lambda _progress: "later")
    jobs.stop("next")
    jobs.stop("slow")
    jobs.stop("never asked for")
    go_on.set()
    for one in (job, waits):
        assert one.wait(60.0)
        with pytest.raises(InputError, match="stopped") as stopped:
            one.result()
        with in_language("de"):
            assert str(stopped.value) == "es wurde angehalten"
