"""Slow work is done once, reports how far it is, and may fail without harm."""

from __future__ import annotations

from threading import Event

import pytest

from unspool.app.jobs import KEPT, Jobs
from unspool.errors import InputError


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
        progress("reading run 2 of 3")
        told.set()
        go_on.wait(60.0)
        return "done"

    job = jobs.request("runs", work)
    assert told.wait(60.0)
    assert not job.wait(0.0)
    assert job.doing == "reading run 2 of 3"
    waits = jobs.request("another", lambda progress: "later")
    assert waits.doing == "waiting for its turn"
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
