"""The pages by TLS: which certificates are taken, who is led to it, and that nothing slows it."""

from __future__ import annotations

import asyncio
import socket
import ssl
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from http.client import HTTPConnection, HTTPResponse, HTTPSConnection
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

import pytest
import trustme
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    PrivateFormat,
    load_pem_private_key,
)
from websockets.sync.client import connect

from app_parts import filled_store, read_sample
from unspool.app import Access, PageServer, Sharing, create_app
from unspool.app.certificate import load_certificate
from unspool.app.connections import MOST_A_CLIENT, BoundedHttp
from unspool.app.pages.share import share_page
from unspool.errors import InputError

GUEST = "127.0.0.2"  # a second address of the same computer, as a guest's would be another
NAMES = ("hall.school.example", "*.lanes.example", "localhost", "127.0.0.1")


@dataclass(frozen=True)
class Pair:
    file: Path
    key: Path


@pytest.fixture(scope="module")
def authority() -> trustme.CA:
    return trustme.CA()


def written(folder: Path, made: trustme.LeafCert, name: str = "own") -> Pair:
    pair = Pair(folder / f"{name}.pem", folder / f"{name}.key")
    pair.file.write_bytes(b"".join(one.bytes() for one in made.cert_chain_pems))
    pair.key.write_bytes(made.private_key_pem.bytes())
    return pair


@pytest.fixture(scope="module")
def pair(authority: trustme.CA, tmp_path_factory: pytest.TempPathFactory) -> Pair:
    return written(tmp_path_factory.mktemp("pair"), authority.issue_cert(*NAMES))


def test_a_sound_pair_says_its_names_and_its_end(pair: Pair) -> None:
    found = load_certificate(pair.file, pair.key)
    assert set(found.names) == set(NAMES)
    assert found.ends.endswith("GMT")
    assert found.context.minimum_version is ssl.TLSVersion.TLSv1_2


def _missing(pair: Pair, folder: Path, _by: trustme.CA) -> Pair:
    return Pair(pair.file, folder / "none.key")


def _a_folder(pair: Pair, folder: Path, _by: trustme.CA) -> Pair:
    return Pair(folder, pair.key)


def _of_another(pair: Pair, folder: Path, by: trustme.CA) -> Pair:
    return Pair(pair.file, written(folder, by.issue_cert("x.example"), "other").key)


def _swapped(pair: Pair, _folder: Path, _by: trustme.CA) -> Pair:
    return Pair(pair.key, pair.file)


def _no_key(pair: Pair, folder: Path, _by: trustme.CA) -> Pair:
    (folder / "text").write_text("hello\n")
    return Pair(pair.file, folder / "text")


def _no_certificate(pair: Pair, folder: Path, _by: trustme.CA) -> Pair:
    (folder / "bytes").write_bytes(bytes(range(256)))
    return Pair(folder / "bytes", pair.key)


def _locked(pair: Pair, folder: Path, _by: trustme.CA) -> Pair:
    key = load_pem_private_key(pair.key.read_bytes(), None)
    form = (Encoding.PEM, PrivateFormat.PKCS8, BestAvailableEncryption(b"secret"))
    (folder / "locked").write_bytes(key.private_bytes(*form))
    return Pair(pair.file, folder / "locked")


def _over(_pair: Pair, folder: Path, by: trustme.CA) -> Pair:
    ended = datetime.now(UTC) - timedelta(days=1)
    return written(folder, by.issue_cert("x.example", not_after=ended))


def _not_yet(_pair: Pair, folder: Path, by: trustme.CA) -> Pair:
    begins = datetime.now(UTC) + timedelta(days=1)
    return written(folder, by.issue_cert("x.example", not_before=begins))


@pytest.mark.parametrize(
    ("spoil", "word"),
    [
        *(
            (_missing, "there is no key"),
            (_a_folder, "cannot be read"),
            (_swapped, "--certificate"),
        ),
        *((_of_another, "not that of"), (_no_key, "--key"), (_no_certificate, "--certificate")),
        *((_locked, "password"), (_over, "has ended"), (_not_yet, "clock")),
    ],
)
def test_a_pair_that_browsers_could_not_use_is_refused(
    pair: Pair, tmp_path: Path, authority: trustme.CA, spoil: Any, word: str
) -> None:
    bad = spoil(pair, tmp_path, authority)
    with pytest.raises(InputError, match=word):
        load_certificate(bad.file, bad.key)


@dataclass
class Rig:
    sharing: Sharing
    port: int
    trust: ssl.SSLContext

    def ask(
        self, path: str, *, guest: bool = False, tls: bool = False, **sent: str
    ) -> HTTPResponse:
        source = (GUEST if guest else "127.0.0.1", 0)
        kind: Any = HTTPSConnection if tls else HTTPConnection
        more = {"context": self.trust} if tls else {}
        http = kind("127.0.0.1", self.port, timeout=10, source_address=source, **more)
        head = {"content-type": "application/x-www-form-urlencoded"} if sent else {}
        http.request("POST" if sent else "GET", path, urlencode(sent) if sent else None, head)
        answer = http.getresponse()
        answer.read()
        http.close()
        return answer

    def socket(self) -> socket.socket:
        return socket.create_connection(("127.0.0.1", self.port), 10, source_address=(GUEST, 0))


@pytest.fixture(scope="module")
def rig(
    pair: Pair, authority: trustme.CA, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Rig]:
    sharing = Sharing(Access(shared=True), load_certificate(pair.file, pair.key))
    trust = ssl.create_default_context()
    authority.configure_trust(trust)
    with (
        pytest.MonkeyPatch.context() as patch,
        filled_store(tmp_path_factory.mktemp("store")) as store,
    ):
        patch.setattr("unspool.app.sharing.own_addresses", lambda: ["192.0.2.9"])
        dash = create_app(store, None, read_sample, sharing)
        server = PageServer(dash, port=0, certificate=sharing.certificate)
        sharing.serve(dash, server.port, everywhere=True)
        with server:
            server.wait_until_ready()
            yield Rig(sharing, server.port, trust)


def test_guests_come_by_tls_and_this_computer_as_it_likes(rig: Rig) -> None:
    assert rig.ask("/logbook", guest=True, tls=True).status == 200
    assert rig.ask("/logbook", tls=True).status == 200
    assert rig.ask("/logbook").status == 200
    led = rig.ask("/contest/1/judge?entry=2", guest=True)
    assert led.status == 307
    assert led.getheader("location") == f"https://127.0.0.1:{rig.port}/contest/1/judge?entry=2"
    assert rig.ask("/pin", guest=True, pin=rig.sharing.access.pin).status == 400


def test_the_cookie_goes_by_tls_alone(rig: Rig) -> None:
    given = rig.ask("/pin", guest=True, tls=True, pin=rig.sharing.access.pin)
    assert given.status == 303
    assert "secure" in (given.getheader("set-cookie") or "").lower()
    open_ = rig.ask("/pin", pin=rig.sharing.access.pin)
    assert "secure" not in (open_.getheader("set-cookie") or "").lower()


def test_a_page_follows_by_a_secure_socket(rig: Rig) -> None:
    with connect(
        f"wss://127.0.0.1:{rig.port}/live/points",
        ssl=rig.trust,
        origin=f"https://127.0.0.1:{rig.port}",  # type: ignore[arg-type]  # a text will do
        sock=rig.socket(),
        proxy=None,
    ) as live:
        live.send('{"brief": true}')
        assert "state" in str(live.recv(timeout=10))


def test_addresses_and_the_page_say_https(rig: Rig) -> None:
    (address,) = rig.sharing.addresses()
    assert address == f"https://hall.school.example:{rig.port}/"
    assert address in str(share_page(rig.sharing).body.to_plotly_json())
    for host, own in (
        *(("hall.school.example", True), ("LANE2.lanes.example:8437", True)),
        *(("a.b.lanes.example", False), (".lanes.example", False), ("evil.example", False)),
    ):
        assert rig.sharing.access.is_own_name(host) is own, host


@pytest.mark.parametrize(
    "sent",
    [b"", b"\x16", b"\x16\x03\x01\x02\x00", b"\x16" + b"\xff" * 300, b"GET / HTTP/1.1\r\n\r\n"],
)
def test_bytes_that_are_no_handshake_end_their_own_connection_alone(rig: Rig, sent: bytes) -> None:
    with rig.socket() as guest:
        guest.sendall(sent)
        guest.shutdown(socket.SHUT_WR)
        guest.settimeout(10)
        answer = guest.recv(100)
    assert answer == b"" or answer[:1] == b"\x15" or answer.startswith(b"HTTP/1.1 400")
    assert rig.ask("/", guest=True, tls=True).status == 200


def _is_refused(one: socket.socket) -> bool:
    try:
        one.sendall(b"\x16\x03\x01\x02\x00")
        return one.recv(1) == b""
    except ConnectionError:
        return True


def test_a_client_holds_so_many_half_handshakes_and_no_more(rig: Rig) -> None:
    """Each would else hold a descriptor for a minute, and the recorder needs some."""
    held = [rig.socket() for _ in range(MOST_A_CLIENT)]
    for one in held:
        one.sendall(b"\x16\x03\x01\x02\x00")
    with rig.socket() as more:
        assert _is_refused(more)
    assert rig.ask("/logbook", tls=True).status == 200  # the owner's
    for one in held:
        one.close()


def _finished_with_nonsense(rig: Rig) -> None:
    """The last bytes of the handshake come with a record that TLS cannot read."""
    here, there = ssl.MemoryBIO(), ssl.MemoryBIO()
    tls = rig.trust.wrap_bio(here, there, server_hostname="localhost")
    with rig.socket() as guest:
        with pytest.raises(ssl.SSLWantReadError):
            tls.do_handshake()
        guest.sendall(there.read())
        while True:
            here.write(guest.recv(65536))
            try:
                tls.do_handshake()
                break
            except ssl.SSLWantReadError:
                pass
        guest.sendall(there.read() + b"\x17\x03\x03\x00\x20" + bytes(32))
        guest.settimeout(10)
        with suppress(ConnectionError):
            while guest.recv(65536):
                pass


def test_a_connection_that_ends_with_its_handshake_reaches_no_page(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The server would else keep it as open for ever, for nobody says to it that it has ended."""
    made, ended = BoundedHttp.connection_made, []

    def connection_made(self: BoundedHttp, transport: asyncio.Transport) -> None:
        ended.append(transport.is_closing())
        made(self, transport)

    monkeypatch.setattr(BoundedHttp, "connection_made", connection_made)
    _finished_with_nonsense(rig)
    assert rig.ask("/", guest=True, tls=True).status == 200
    assert ended == [False]
