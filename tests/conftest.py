"""What every test stands on: a home of its own, one thread of linear algebra, no limit on time."""

from __future__ import annotations

import os
import shutil
import signal
import sys

# A second thread waits busily for the first: a reading takes six times the processor time.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
if "numpy" in sys.modules:
    raise ImportError("a pytest plugin imported numpy before its number of threads was set")

from collections.abc import Generator, Iterator
from contextlib import suppress
from pathlib import Path
from tempfile import NamedTemporaryFile
from typing import TypeVar

import pytest
from hypothesis import HealthCheck, settings

from module_order import in_order

# A shell gives its background jobs an ignored SIGINT, and nohup an ignored SIGHUP; a child inherits
# both. Tests send signals, to themselves and to commands, and expect them to arrive.
signal.signal(signal.SIGINT, signal.default_int_handler)
for _number in (signal.SIGTERM, signal.SIGHUP):
    signal.signal(_number, signal.SIG_DFL)

# Some hundred tests start unspool in another process: it need not be compiled each time.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False

Report = TypeVar("Report", pytest.TestReport, pytest.CollectReport)
TESTS = Path(__file__).parent
HOST = TESTS.parent / "host"

# A loaded machine is slow; that is no fault of what is tested.
settings.register_profile(
    "unspool", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("unspool")


@pytest.hookimpl(optionalhook=True)  # it is xdist's, which `-p no:xdist` leaves out
def pytest_xdist_auto_num_workers() -> int:
    """For `-n auto`: two a core, as half of the suite's time is waiting for boards in real time."""
    return 2 * (os.cpu_count() or 1)


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    items[:] = in_order(items, TESTS)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport() -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """A test that is skipped fails: a tool that is missing is a fault of the machine."""
    report = yield
    return _failed_if_skipped(report)


@pytest.hookimpl(wrapper=True)
def pytest_make_collect_report() -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
    report = yield
    return _failed_if_skipped(report)


def _failed_if_skipped(report: Report) -> Report:
    if report.skipped:
        report.outcome = "failed"
        report.longrepr = f"nothing is skipped here: {report.longrepr}"
    return report


@pytest.fixture(scope="session", autouse=True)
def _own_ports(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """No worker opens a pseudo-terminal under a name that another worker had.

    A recorder whose board was unplugged tries that name again and again. It would open the other's.
    """
    if not hasattr(os, "openpty"):
        yield
        return
    own = tmp_path_factory.getbasetemp()
    folder = (own.parent if "PYTEST_XDIST_WORKER" in os.environ else own) / "ports"
    folder.mkdir(exist_ok=True)
    open_any = os.openpty

    def is_ours(end: int) -> bool:
        mark = folder / os.ttyname(end).replace("/", "_")
        with suppress(FileExistsError), mark.open("x") as new:
            new.write(str(os.getpid()))
        return mark.read_text() == str(os.getpid())

    def open_own() -> tuple[int, int]:
        others = []
        while not is_ours((ends := open_any())[1]):
            others.append(ends)
        for end in (end for both in others for end in both):
            os.close(end)
        return ends

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "openpty", open_own)
        yield


@pytest.fixture(scope="session", autouse=True)
def _new_stores_are_copies(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """A new file gets the tables of one that was made before: that saves each test their steps.

    tests/store/test_migrations.py takes the steps themselves.
    """
    from unspool.store.engines import open_place
    from unspool.store.opening import OpenStore

    made, prepared = tmp_path_factory.mktemp("template") / "s", OpenStore._prepared.__func__
    prepared(OpenStore, made, open_place(made, 1.0)).close()

    def copied(cls: type[OpenStore], place: object, engine: object) -> OpenStore:
        if isinstance(place, Path) and not place.exists():
            # whole at once: of several threads that open a new store each would copy
            with suppress(OSError), NamedTemporaryFile(dir=place.parent) as part:
                shutil.copyfile(made, part.name)
                os.link(part.name, place)
        return prepared(cls, place, engine)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(OpenStore, "_prepared", classmethod(copied))
        yield


@pytest.fixture(scope="session", autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Neither the user's store nor another worker's is ever opened by mistake.

    Nor does a child process import another checkout's unspool.
    """
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        patch.setenv("PYTHONPATH", str(HOST))
        for name in ("DATA", "STATE", "CONFIG", "CACHE"):
            patch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
        yield
