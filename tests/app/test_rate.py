"""A guest may ask often, but not without end."""

from __future__ import annotations

from unspool.app.rate import A_SECOND, BURST, REMEMBERED, Rate


class Clock:
    def __init__(self) -> None:
        self.now = 5.0

    def __call__(self) -> float:
        return self.now


def test_a_burst_passes_and_then_a_steady_rate() -> None:
    clock = Clock()
    rate = Rate(clock)
    assert all(rate.allows("a") for _ in range(int(BURST)))
    assert not rate.allows("a")
    assert rate.allows("b")
    clock.now += 1.0
    assert sum(rate.allows("a") for _ in range(100)) == int(A_SECOND)


def test_memory_is_bounded() -> None:
    rate = Rate(Clock())
    for i in range(REMEMBERED + 50):
        rate.allows(f"client {i}")
    assert len(rate._buckets) == REMEMBERED
