"""A guest's requests, malformed, half sent, large, slow or many, to an app with few descriptors.

After each the owner's page still answers, and at the end the app has said nothing of any fault.
"""

from __future__ import annotations

import random
import resource
import socket
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

from hard.asking import Started
from hard.hard_class import HardClass, Tried
from hard.recording.recorders import stopped
from hard.stores import whole

OWNER, GUEST = "127.0.0.1", "127.0.0.2"  # to the app, any address but the first is a guest
DESCRIPTORS = 128
PATIENCE_S = 60.0
OWNER_S = 20.0  # on a loaded machine
A_CASE = 8  # hostile acts on one app
PATHS = (
    *(
        "/",
        "/logbook",
        "/logbook/rows",
        "/attempts/1",
        "/attempts/99999999999999999999",
        "/attempts/../../etc/passwd",
        "/%00",
        "/%",
    ),
    *(
        "/next-winding",
        "/side-by-side?runs=1,2",
        "/side-by-side?runs=" + "1," * 5000,
        "//",
        "/\udcff",
        "/a" * 9000,
    ),
    *("/_dash-update-component", "/live/points", "/_dash-layout", "/assets/../app.py", "*", ""),
)
METHODS = ("GET", "POST", "PUT", "DELETE", "HEAD", "OPTIONS", "BREW", "G\0T", "x" * 5000)
BODIES = (
    *(b"", b"{", b"null", b"[]", b'{"output": 1}', b"[" * 50_000, b"\xff\xfe", b"9" * 5000),
    *(
        b'{"output":"a.b","inputs":[]}',
        b'{"output":"..a.b..","inputs":[{"id":null}]}',
        b"x" * 3_000_000,
    ),
)
HEADERS = (
    *(
        "Origin: http://[",
        "Origin: null",
        "Host: [::1",
        "Host: [::1].evil.com",
        "Host: a b",
        "Host:",
    ),
    *(
        "X-Forwarded-For: 127.0.0.1",
        "Transfer-Encoding: chunked",
        "Content-Length: -1",
        "Cookie: =;=,",
    ),
    *(
        "Content-Length: 99999999999999",
        "Upgrade: websocket",
        "Connection: Upgrade",
        "A: " + "b" * 90_000,
    ),
    *("Sec-WebSocket-Key: x", "Sec-WebSocket-Version: 99", ": no name", "no colon", "\x00: x"),
)


def case(rng: random.Random, place: Path) -> Tried:
    (place / "s").write_bytes(whole()[0])
    acts = [rng.choice(ACTS) for _ in range(A_CASE)]
    faults: list[str] = []
    words = ["app", "--store", "s", "--port", "0", "--no-browser", "--share"]
    app = Started(words, place, before=few_descriptors)
    with ExitStack() as open_ones:
        port = port_of(app)
        for act in acts:
            with suppress(OSError):  # to be refused is what these ask for
                act(rng, port, open_ones)
            faults += [f"after {act.__name__}: {fault}" for fault in owner_waits(port)]
    faults += stopped(app)
    return Tried(", ".join(act.__name__ for act in acts), faults)


def few_descriptors() -> None:
    resource.setrlimit(resource.RLIMIT_NOFILE, (DESCRIPTORS, DESCRIPTORS))


def port_of(app: Started) -> int:
    end = time.monotonic() + PATIENCE_S
    while "http://" not in app.out.read_text():
        assert time.monotonic() < end, f"the app does not start: {app.err.read_text()}"
        time.sleep(0.05)
    return int(app.out.read_text().split("http://")[1].split("/")[0].rsplit(":", 1)[1])


def owner_waits(port: int) -> list[str]:
    """What is wrong with a page that the owner asks for; nothing if it comes."""
    try:
        with urllib.request.urlopen(f"http://127.0.0.1:{port}/logbook", timeout=OWNER_S) as answer:
            return [] if answer.status == 200 else [f"the owner's page says {answer.status}"]
    except (OSError, urllib.error.URLError) as error:
        return [f"the owner's page does not answer ({error})"]


@contextmanager
def _connected(port: int) -> Iterator[socket.socket]:
    with socket.create_connection((OWNER, port), 5.0, source_address=(GUEST, 0)) as line:
        yield line


def _request(rng: random.Random, body: bytes) -> bytes:
    head = [f"{rng.choice(METHODS)} {rng.choice(PATHS)} HTTP/1.1", "Host: 127.0.0.1"]
    head += rng.sample(HEADERS, rng.randrange(0, 4))
    if rng.random() < 0.8:
        head += ["Content-Type: application/json", f"Content-Length: {len(body)}"]
    return "\r\n".join([*head, "", ""]).encode("utf-8", "surrogateescape") + body


def malformed(rng: random.Random, port: int, _open: ExitStack) -> None:
    for _ in range(10):
        with suppress(OSError), _connected(port) as line:
            line.sendall(_request(rng, rng.choice(BODIES)))
            line.settimeout(0.5)
            line.recv(100)


def noise(rng: random.Random, port: int, _open: ExitStack) -> None:
    with _connected(port) as line:
        line.sendall(rng.randbytes(rng.randrange(1, 100_000)))


def half_sent(rng: random.Random, port: int, open_ones: ExitStack) -> None:
    """Connections that stay open with half a request, more than there are descriptors."""
    for _ in range(DESCRIPTORS * 2):
        with suppress(OSError):
            line = open_ones.enter_context(_connected(port))
            line.sendall(_request(rng, b"{}")[: rng.randrange(1, 40)])


def slow(rng: random.Random, port: int, _open: ExitStack) -> None:
    with _connected(port) as line:
        for byte in _request(rng, b"")[: rng.randrange(5, 30)]:
            line.sendall(bytes([byte]))
            time.sleep(0.03)


def many(rng: random.Random, port: int, _open: ExitStack) -> None:
    for _ in range(100):
        with suppress(OSError), _connected(port) as line:
            line.sendall(b"GET /logbook HTTP/1.1\r\nHost: 127.0.0.1\r\nConnection: close\r\n\r\n")


def large(rng: random.Random, port: int, _open: ExitStack) -> None:
    """A body far longer than any of ours, as much of it as the app takes."""
    with _connected(port) as line:
        line.sendall(b"POST /_dash-update-component HTTP/1.1\r\nHost: 127.0.0.1\r\n")
        line.sendall(b"Content-Type: application/json\r\nContent-Length: 900000000\r\n\r\n")
        for _ in range(200):
            line.sendall(b"[" * 100_000)


Act = Callable[[random.Random, int, ExitStack], None]
ACTS: tuple[Act, ...] = (malformed, malformed, noise, half_sent, slow, many, large)
CLASSES = (
    HardClass("requests", f"{A_CASE} hostile acts on an app with few descriptors", 60, 1, case),
)
