"""Sharing begun and ended from the page, with another address of this computer as the guest's."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from http.client import HTTPConnection
from pathlib import Path

import pytest

from unspool.app import Access, PageServer, Sharing, create_app
from unspool.app.pages.share import share_page
from unspool.app.permissions import client
from unspool.errors import InputError
from unspool.store import Store

OTHER = "127.0.0.2"  # a second address of the same computer, as a guest's would be another


@dataclass
class Rig:
    sharing: Sharing
    port: int

    def ask(self, method: str, path: str, *, to: str = "127.0.0.1", guest: bool = False) -> int:
        source = (OTHER, 0) if guest else None
        port = int(self.sharing.addresses()[0].split(":")[2].strip("/")) if guest else self.port
        connection = HTTPConnection(to, port, timeout=10, source_address=source)
        connection.request(method, path)
        status = connection.getresponse().status
        connection.close()
        return status


@pytest.fixture
def rig(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Rig]:
    monkeypatch.setattr("unspool.app.sharing.own_addresses", lambda: [OTHER])
    sharing = Sharing(Access())
    with Store.open(tmp_path / "runs.sqlite") as store:
        dash = create_app(store, sharing=sharing)
        with PageServer(dash, port=0) as server:
            server.wait_until_ready()
            sharing.serve(dash, server.port, everywhere=False)
            yield Rig(sharing, server.port)
            sharing.close()


def page_text(sharing: Sharing, asker: str) -> str:
    token = client.set(asker)
    try:
        return str(share_page(sharing).body.to_plotly_json())
    finally:
        client.reset(token)


def test_others_come_in_only_while_it_is_shared(rig: Rig) -> None:
    with pytest.raises(OSError, match="refused"):
        HTTPConnection(OTHER, rig.port, timeout=2).request("GET", "/")
    assert rig.ask("POST", "/share/begin") == 200
    for page in ("/", "/logbook", "/share", "/pin"):
        assert rig.ask("GET", page, to=OTHER, guest=True) == 200
    assert rig.ask("POST", "/track/end", to=OTHER, guest=True) == 403
    assert rig.ask("POST", "/share/end", to=OTHER, guest=True) == 403
    port = int(rig.sharing.addresses()[0].split(":")[2].strip("/"))
    assert rig.ask("POST", "/share/end") == 200
    with pytest.raises(OSError, match="refused"):
        HTTPConnection(OTHER, port, timeout=2).request("GET", "/")
    assert rig.ask("POST", "/share/begin") == 200
    assert rig.ask("GET", "/", to=OTHER, guest=True) == 200


def test_the_pin_and_the_address_are_for_this_computer_alone(rig: Rig) -> None:
    assert rig.sharing.access.pin not in page_text(rig.sharing, "127.0.0.1")
    rig.sharing.begin()
    here = page_text(rig.sharing, "127.0.0.1")
    assert rig.sharing.access.pin in here
    assert rig.sharing.addresses()[0] in here
    assert rig.sharing.access.pin not in page_text(rig.sharing, OTHER)


def test_without_a_network_it_says_so(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("unspool.app.sharing.own_addresses", list)
    assert rig.ask("POST", "/share/begin") == 409
    assert not rig.sharing.is_on


def test_what_a_command_began_only_the_command_ends(tmp_path: Path) -> None:
    sharing = Sharing(Access(shared=True))
    with Store.open(tmp_path / "runs.sqlite") as store:
        sharing.serve(create_app(store, sharing=sharing), 8437, everywhere=True)
    with pytest.raises(InputError, match="--share"):
        sharing.end()
