"""From an edge of the wheel to its mark on the page in Chromium, over the whole host chain.

A virtual board plays a run in real time into a pipe; the recorder stores it and informs the hub;
the page draws it. An edge is timed twice: from the instant the slot passes the sensor, which adds
the board's own batching, and from the instant its bytes are read from the link. Its mark is painted
when the browser has shown the first frame after the draw that holds it. The baseline is the same
hub behind a page that asks every 100 ms, the usual way of a live Dash page.
"""

from __future__ import annotations

import tempfile
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import plotly.graph_objects as go
from dash import Dash, Input, Output, State, dcc, html
from fastapi import FastAPI
from playwright.sync_api import Page

from bench.figures import Figure
from chromium import chromium
from unspool.app import LiveBoards, LiveState, PageServer, create_app
from unspool.app.cursor import Cursor
from unspool.car import load_car
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import Notice, Phase, PhaseChanged, Recorder, RunContext, RunEdges
from unspool.store import Store
from unspool.virtual.demo.board import VirtualBoard
from unspool.virtual.demo.scenario import SANDPIPER
from unspool.virtual.truth import Imperfections, TrueRun, run, winding_train

FIRST_S, STILL_S, HASTE = 2.0, 3.0, 4.0  # winding is played faster, to keep this short
POLL_MS = 100
SPOIL = Imperfections(slot_sd=0.02, jitter_s=50e-6, tick_s=0.5e-6)
# Counts the points of each draw and when the frame that shows it is out.
WATCH = """() => {
  const plot = document.querySelector(".js-plotly-plot");
  const trace = plot.data.length - 1 > 1 ? 1 : 0;
  window.paints = [];
  plot.on("plotly_afterplot", () => {
    const points = plot.data[trace].x.length;
    requestAnimationFrame(() => {
      const after = new MessageChannel();
      after.port1.onmessage = () => window.paints.push([points, performance.now()]);
      after.port2.postMessage(0);
    });
  });
}"""


@dataclass
class _Witness:
    """Notes when each edge of the run happened and when its bytes were read."""

    board_s: list[float] = field(default_factory=list)
    arrived_s: list[float] = field(default_factory=list)
    over: bool = False

    def __call__(self, notice: Notice) -> None:
        if isinstance(notice, RunEdges):
            self.board_s += notice.time_s.tolist()
            self.arrived_s += [notice.arrived_s] * len(notice.time_s)
        elif isinstance(notice, PhaseChanged) and notice.phase is Phase.ENDED:
            self.over = True


def figures() -> Iterable[Figure]:
    ours, theirs = _latencies(_our_page), _latencies(_polled_page)
    baseline = f"dcc.Interval {POLL_MS} ms"
    for i, start in enumerate(("slot at the sensor", "bytes at the host")):
        for name, share in (("median", 50), ("95th percentile", 95)):
            value, other = (float(np.percentile(t[i], share)) for t in (ours, theirs))
            yield Figure(f"{start} to painted mark, {name}", value, "ms", baseline, other)


def _our_page(store: Store, live: LiveState) -> Dash:
    return create_app(store, LiveBoards([live]))


def _polled_page(_store: Store, live: LiveState) -> Dash:
    dash = Dash("polled", server=FastAPI())
    graph = dcc.Graph(id="plot", figure=go.Figure(go.Scatter(x=[], y=[])))
    dash.layout = html.Div([graph, dcc.Interval("tick", POLL_MS), dcc.Store("have", data=0)])

    @dash.callback(
        Output("plot", "extendData"),
        Output("have", "data"),
        Input("tick", "n_intervals"),
        State("have", "data"),
    )
    async def more(_tick: int | None, have: int) -> tuple[object, int]:
        news = live.news(Cursor())
        assert news is not None
        fresh = {"x": [news["x"][have:]], "y": [news["v"][have:]]}
        return (fresh, [0]), len(news["x"])

    return dash


def _latencies(make: Callable[[Store, LiveState], Dash]) -> tuple[np.ndarray, np.ndarray]:
    """Milliseconds to the paint of each edge, from the sensor and from the link."""
    truth = run(load_car(SANDPIPER), imperfections=SPOIL, seed=5)
    witness, pipe = _Witness(), Pipe()
    board = VirtualBoard(pipe, _edges(truth), edges_per_turn=20)
    live = LiveState(truth.car)
    with tempfile.TemporaryDirectory() as folder, Store.open(Path(folder) / "s.sqlite") as store:
        context = RunContext(SANDPIPER.read_text("utf-8"), None, 20)
        recorder = Recorder(VirtualLink(pipe), store, context, [live, witness])
        with PageServer(make(store, live), port=0) as server, chromium() as browser:
            page = browser.pages[0]
            page.goto(server.address)
            page.wait_for_selector(".js-plotly-plot .main-svg")
            page.evaluate(WATCH)
            behind_s = _browser_clock(page)
            recorder.start()
            power_on_s = time.monotonic()
            board.start()
            try:
                _wait(page, witness)
            finally:
                recorder.stop()
                recorder.join(30)
                board.stop()
            paints = np.array(page.evaluate("window.paints"))
    painted_s = _painted(paints, len(witness.board_s)) + behind_s
    sensor_s = power_on_s + np.array(witness.board_s)
    return (painted_s - sensor_s) * 1e3, (painted_s - np.array(witness.arrived_s)) * 1e3


def _edges(truth: TrueRun) -> list[tuple[float, int]]:
    wound = winding_train(truth, 0.0)
    turned_s = FIRST_S + (wound.time_s - wound.time_s[0]) / HASTE
    ran_s = turned_s[-1] + STILL_S + truth.train.time_s - truth.train.time_s[0]
    times = np.concatenate([turned_s, ran_s]).tolist()
    directions = np.concatenate([wound.direction, truth.train.direction]).tolist()
    return list(zip(times, directions, strict=True))


def _browser_clock(page: Page) -> float:
    """What to add to the page's performance.now() in s for this process's monotonic clock."""
    tries = []
    for _ in range(20):
        before = time.monotonic()
        now_s = page.evaluate("performance.now()") / 1e3
        after = time.monotonic()
        tries.append((after - before, (before + after) / 2 - now_s))
    return min(tries)[1]


def _wait(page: Page, witness: _Witness) -> None:
    give_up = time.monotonic() + 120
    while not witness.over:
        if time.monotonic() > give_up:
            raise RuntimeError("the virtual run did not come to its end")
        page.wait_for_timeout(100)
    page.wait_for_timeout(500)


def _painted(paints: np.ndarray, edges: int) -> np.ndarray:
    """When each of the run's edges was first on the page, by the page's clock in s.

    Winding clears the picture, so the run's draws are those after the last empty one.
    """
    empty = np.flatnonzero(paints[:, 0] == 0)
    draws = paints[empty[-1] + 1 :] if len(empty) else paints
    first = np.searchsorted(draws[:, 0], np.arange(edges) + 1)
    return draws[first, 1] / 1e3
