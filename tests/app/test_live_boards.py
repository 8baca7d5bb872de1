"""Several boards at once: a line each, one banner for all, and news only of what a page watches."""

from __future__ import annotations

from itertools import pairwise
from threading import Thread

from app_parts import LINK_DOWN, LINK_UP, edges, predicted
from sample_run import sample_car
from unspool.app.cursor import Cursor
from unspool.app.live_boards import CAUTION_OF_ALL, LiveBoards
from unspool.app.live_state import LiveState
from unspool.app.pages.track import board_page, track_page
from unspool.instrument.record.notices import BoardSeen, Phase, PhaseChanged


def _live(key: str, car: str = "Sandpiper") -> LiveState:
    return LiveState(sample_car(car), key=key, place=f"/dev/{key}", predict=predicted)


def _two() -> tuple[LiveBoards, LiveState, LiveState]:
    one, two = _live("aaaaaa"), _live("bbbbbb", "Dunlin")
    for live in (one, two):
        live(LINK_UP)
        live(PhaseChanged(Phase.WAITING, 0.0))
    return LiveBoards([one, two]), one, two


def _root(page: object) -> dict[str, str]:
    return {name: value for name, value in vars(page).items() if name.startswith("data-")}


def test_a_single_board_is_shown_as_if_there_were_no_others() -> None:
    live = _live("aaaaaa")
    lives = LiveBoards([live])
    live(LINK_UP)
    live(PhaseChanged(Phase.WINDING, 1.0))
    assert lives.banner().headline == "Winding"
    assert live.texts()["beside"] == ""
    assert _root(track_page(lives).body)["data-recorded"] == "aaaaaa"


def test_the_banner_of_all_is_that_of_the_board_that_needs_a_look_most() -> None:
    lives, one, two = _two()
    two(PhaseChanged(Phase.RUNNING, 0.0))
    assert lives.banner().headline == "Dunlin: Running"
    one(PhaseChanged(Phase.READY, 4.0))
    assert lives.banner().headline == "Sandpiper: Wound"
    two(LINK_DOWN)
    assert lives.banner().headline.startswith("Dunlin: Link lost since ")
    assert lives.banner().advice.endswith(f"Wound: Sandpiper. {CAUTION_OF_ALL}")
    assert one.banner().headline == "Wound"


def test_a_page_of_all_gets_lines_and_a_page_of_one_its_points() -> None:
    lives, one, two = _two()
    news = lives.news(Cursor())
    assert news is not None
    assert [line["car"] for line in news["state"]["boards"]] == ["Sandpiper", "Dunlin"]
    assert news["state"]["boards"][0]["href"] == "/track/aaaaaa"
    one(BoardSeen("1.0", 5, 2_000_000, identity=0x2A))
    again = lives.news(Cursor(news["session"], news["version"]))
    assert again is not None
    line = again["state"]["boards"][0]
    assert (line["href"], line["name"]) == ("/track/0000002a", "Board 0000002a")
    assert lives.find("0000002a") is lives.find("aaaaaa") is one
    assert _root(track_page(lives).body)["data-phase"] == "boards"
    assert _root(board_page(lives, "bbbbbb").body)["data-recorded"] == two.key
    assert two.texts()["beside"] == "All 2 boards"


def test_points_of_one_board_wake_no_page_that_shows_another() -> None:
    lives, one, two = _two()
    two(PhaseChanged(Phase.RUNNING, 0.0))
    two(edges("run", 0, 5))
    heard: list[str] = []
    one.subscribe(lambda: heard.append("one"))
    two.subscribe(lambda: heard.append("two"))
    lives.subscribe(lambda: heard.append("all"))
    two(edges("run", 5, 50))
    assert heard == ["two"]
    two(PhaseChanged(Phase.ENDED, 0.0))
    assert heard == ["two", "two", "all"]


def test_a_board_that_fails_keeps_its_line_until_its_place_is_recorded_again() -> None:
    lives, _one, two = _two()
    session = lives.session
    lives.remove("aaaaaa", "the port is gone")
    assert [line.key for line in lives.lines] == ["bbbbbb", "aaaaaa"]
    assert lives.banner().headline == "/dev/aaaaaa: Recording ended"
    assert two.texts()["beside"] == ""
    lives.add(_live("cccccc"))
    assert len(lives.lines) == 3
    back = LiveState(sample_car(), place="/dev/aaaaaa", predict=predicted)
    lives.add(back)
    assert [line.key for line in lives.lines] == ["bbbbbb", "cccccc", back.key]
    assert lives.session == session


def test_pages_see_by_the_session_that_the_first_board_came_or_the_last_one_went() -> None:
    lives = LiveBoards()
    seen = [lives.session]
    for change in (
        lambda: lives.add(_live("aaaaaa")),
        lambda: lives.add(_live("bbbbbb")),
        lambda: lives.remove("aaaaaa"),
        lambda: lives.remove("bbbbbb", "it failed"),
    ):
        change()
        seen.append(lives.session)
    assert [a == b for a, b in pairwise(seen)] == [False, True, True, False]
    assert lives.banner().headline == "Recording ended"
    assert _root(board_page(lives, "aaaaaa").body)["data-phase"] == "gone"


def test_boards_come_and_go_while_others_bring_news() -> None:
    lives = LiveBoards()
    lasting = _live("eeeeee")
    lives.add(lasting)
    lives.subscribe(lambda: lives.news(Cursor()))

    def come_and_go(name: str) -> None:
        for n in range(30):
            live = _live(f"{name}{n:05x}")
            lives.add(live)
            live(PhaseChanged(Phase.WINDING, float(n)))
            lives.remove(live.key)

    def bring() -> None:
        for n in range(100):
            lasting(PhaseChanged(Phase.WINDING, n / 10))

    threads = [Thread(target=come_and_go, args=(name,)) for name in "ab"] + [Thread(target=bring)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(60)
    assert not any(thread.is_alive() for thread in threads)
    assert lives.shown == [lasting]
    assert lasting.texts()["beside"] == ""
