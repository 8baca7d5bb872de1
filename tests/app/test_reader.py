"""How a browser reads: its language, by cookie or by what the browser asks for."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from starlette.testclient import TestClient

from app_parts import filled_store, read_sample
from unspool.app import create_app
from unspool.app.guard import NOT_THIS_COMPUTER
from unspool.app.script_words import script_messages
from unspool.language import _, in_language


@pytest.fixture(scope="module")
def client(tmp_path_factory: pytest.TempPathFactory) -> Iterator[TestClient]:
    with filled_store(tmp_path_factory.mktemp("store")) as store:
        yield TestClient(
            create_app(store, analyse=read_sample).server,
            client=("127.0.0.1", 1),
            base_url="http://127.0.0.1",
        )


@pytest.mark.parametrize(
    ("cookie", "accepted", "code"),
    [
        ("", "", "en"),
        ("", "de-AT,de;q=0.9,en;q=0.8", "de"),
        ("", "en;q=0.3, fr ;q=0.7, *;q=nonsense", "fr"),
        ("", "nl,pt-BR;q=0.5", "pt"),
        ("", ";;,=,q=1", "en"),
        ("es", "de", "es"),
        ("xx", "de", "de"),
    ],
)
def test_a_page_is_in_the_language_of_its_reader(
    client: TestClient, cookie: str, accepted: str, code: str
) -> None:
    headers = {"accept-language": accepted, "cookie": f"unspool_language={cookie}"}
    page = client.get("/", headers=headers).text
    assert f'<html lang="{code}">' in page
    assert ("/words/" in page) == (code != "en")


def test_scripts_get_the_messages_of_a_language(client: TestClient) -> None:
    words = client.get("/words/de.js").text
    assert 'decimal": ","' in words
    assert '"Saved: {file}"' in words  # of the script that also stands in files without an app
    assert client.get("/words/xx.js").status_code == 404
    assert client.get("/words/en.js").status_code == 404


def test_refusals_and_live_words_are_in_the_language_of_their_reader(client: TestClient) -> None:
    german = {"accept-language": "de"}
    refused = client.get("/", headers={"host": "elsewhere.example"} | german)
    assert refused.status_code == 403
    said = []
    for headers in (german, {}, german):
        with client.websocket_connect("ws://127.0.0.1/live/points", headers=headers) as socket:
            socket.send_json({})
            said.append(socket.receive_json()["state"]["banner"]["headline"])
    nothing = "Es wird nichts aufgezeichnet"
    assert said == [nothing, "Nothing is recorded", nothing]
    with in_language("de"):
        assert refused.text.strip() == _(NOT_THIS_COMPUTER) != NOT_THIS_COMPUTER


def test_files_keep_english(client: TestClient) -> None:
    german = {"accept-language": "de"}
    there = client.get("/attempts/1/reading.json", headers=german)
    assert there.status_code == 200
    assert there.text == client.get("/attempts/1/reading.json").text


def test_a_scripts_messages_are_found_wherever_they_stand() -> None:
    script = """say(_("One")); x = `${_("Two " +
      "parts", {a})} ${many("{count} car", "{count} cars", n)}`;"""
    assert list(script_messages(script)) == [
        (1, "One"),
        (1, "Two parts"),
        (2, ("{count} car", "{count} cars")),
    ]
