"""Hypothesis strategies: streams of edges from tame to absurd."""

from __future__ import annotations

from hypothesis import strategies as st

# (intervals in ticks, direction) stretches: a steady wheel, chatter, long rests, anything at all
_interval = st.one_of(
    st.integers(0, 3),
    st.integers(2000, 2600),
    st.integers(60_000, 70_000),
    st.integers((1 << 20) - 2, (1 << 20) + 2),
    st.integers(0, (1 << 32) - 1),
)
_stretch = st.tuples(
    st.lists(_interval, min_size=1, max_size=30), st.integers(1, 4), st.sampled_from([1, 1, 1, -1])
)


@st.composite
def edges(draw: st.DrawFn) -> list[tuple[int, int]]:
    """(tick, direction) of each edge, in order; intervals repeat as a disc's do."""
    tick = draw(st.integers(0, 1 << 34))
    out = []
    for intervals, times, direction in draw(st.lists(_stretch, min_size=1, max_size=8)):
        for interval in intervals * times:
            tick += interval
            out.append((tick, direction))
    return out


slots = st.sampled_from([0, 1, 2, 5, 20, 48, 49, 255])
