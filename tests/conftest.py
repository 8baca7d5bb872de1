"""What every test stands on: a home of its own, one thread of linear algebra, no limit on time."""

from __future__ import annotations

import os

# Before anything imports numpy: the tests already fill the cores, a process each.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

from collections.abc import Iterator

import pytest
from hypothesis import HealthCheck, settings

# A loaded machine is slow; that is no fault of what is tested.
settings.register_profile(
    "unspool", deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("unspool")


@pytest.fixture(scope="session", autouse=True)
def _own_home(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Neither the user's store nor another worker's is ever opened by mistake."""
    home = tmp_path_factory.mktemp("home")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("HOME", str(home))
        for name in ("DATA", "STATE", "CONFIG", "CACHE"):
            patch.setenv(f"XDG_{name}_HOME", str(home / name.lower()))
        yield
