"""What several tests of commands stand on."""

from __future__ import annotations

from pathlib import Path

import pytest

from cli.fake_avrdude import Fake, fake_in


@pytest.fixture
def fake(tmp_path: Path) -> Fake:
    return fake_in(tmp_path)
