"""The recorder on a virtual board: every edge of every run is in the store, whatever happens."""

from __future__ import annotations

import random
from pathlib import Path

import numpy as np
import pytest

from board_rig import (
    CAR,
    Told,
    assert_whole,
    powered,
    recording,
    wait_for,
)
from unspool.errors import BoardError, InputError, LinkError
from unspool.instrument.codes import RecordCode
from unspool.instrument.link import cable_link, replay_link
from unspool.instrument.link.serial import SerialLink
from unspool.instrument.link.virtual import Pipe, VirtualLink
from unspool.instrument.record import (
    BoardHealth,
    BoardSeen,
    LinkChanged,
    Phase,
    Recorder,
    RunContext,
    RunEdges,
    rebuild,
)
from unspool.store import Store
from unspool.virtual.demo.pseudo_terminal import PseudoTerminal
from unspool.virtual.demo.scenario import corridor, sandpiper
from unspool.virtual.demo.wheel_script import WheelScript, wheel_script

SPEED = 20.0  # seconds of the board in one of ours


def test_a_run_over_a_serial_port(store: Store) -> None:
    script = wheel_script(sandpiper(), corridor(), runs=1, seed=3, first_s=8.0)
    terminal = PseudoTerminal()
    link = SerialLink(terminal.port)
    with powered(terminal, script.edges, SPEED), recording(link, store) as (_, told):
        wait_for(lambda: told.saved, "the run to be saved")
    terminal.close()
    run = store.run("1")
    assert_whole(run, script)
    assert run.winding is not None
    assert run.winding.turns == pytest.approx(8.8, abs=0.05)
    assert run.car_text == CAR
    assert run.clock is None  # a board 20 times too fast is not corrected
    assert store.check() == []


def test_onlookers_see_it_happen(script: WheelScript, store: Store) -> None:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the run to be saved")
        wait_for(lambda: told.phases[-1] is Phase.ENDED, "the end to be told")
    stored = store.run("1").train
    assert told.saved == ["1"]
    assert told.phases[-4:] == [Phase.WINDING, Phase.READY, Phase.RUNNING, Phase.ENDED]
    assert told.of(BoardSeen)[0].boot == 7
    assert told.of(BoardHealth)[0].edges_lost == 0
    assert told.live_numbers == stored.number.tolist()
    assert [batch.first for batch in told.of(RunEdges)].count(True) == 1
    assert told.link_ups[0]


def test_several_runs_in_a_row(two_runs: WheelScript, store: Store) -> None:
    pipe = Pipe()
    with (
        powered(pipe, two_runs.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: len(told.saved) == 2, "both runs")
    for k, run_id in enumerate(("1", "2")):
        assert_whole(store.run(run_id), two_runs, k)


def test_capture_gives_the_same_run_again(
    script: WheelScript, store: Store, tmp_path: Path
) -> None:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the run to be saved")
    assert rebuild(store, 1) == ["1"]
    assert len(store.runs()) == 1
    with Store.open(tmp_path / "copy") as copy:
        log = copy.begin_capture("replay:x")
        for chunk in store.chunks(1):
            log.append(chunk.arrived_s, chunk.data)
        assert rebuild(copy, 1, RunContext(CAR)) == ["1"]
        one, two = store.run("1"), copy.run("1")
    np.testing.assert_array_equal(one.train.time_s, two.train.time_s)
    assert (one.winding, one.car_text) == (two.winding, two.car_text)


def test_a_replayed_capture_is_recorded_like_a_board(
    script: WheelScript, store: Store, tmp_path: Path
) -> None:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the run to be saved")
    bare = tmp_path / "run.bin"
    bare.write_bytes(b"".join(chunk.data for chunk in store.chunks(1)))
    with Store.open(tmp_path / "other") as other:
        Recorder(replay_link(bare), other).run()
        assert_whole(other.run("1"), script)


class Spoiler:
    """A line that flips, drops and doubles bytes, both ways, and slips in garbage."""

    def __init__(self, pipe: Pipe, rate: float) -> None:
        self._pipe, self._rate, self._random = pipe, rate, random.Random(2)

    def send(self, data: bytes) -> None:
        self._pipe.send(self._spoilt(data))

    def heard(self) -> bytes:
        return self._spoilt(self._pipe.heard())

    def _spoilt(self, data: bytes) -> bytes:
        out = bytearray()
        for byte in data:
            dice = self._random.random() / self._rate
            if dice < 0.25:
                out.append(byte ^ 1 << self._random.randrange(8))
            elif dice < 0.5:
                out += bytes([byte, byte])
            elif dice < 0.75:
                out += self._random.randbytes(20)
            elif dice >= 1.0:
                out.append(byte)
        return bytes(out)


def test_garbage_mixed_in(script: WheelScript, store: Store) -> None:
    pipe = Pipe()
    line = Spoiler(pipe, 0.01)
    with (
        powered(line, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.saved, "the run to be saved")
    assert_whole(store.run("1"), script)


def test_a_fault_of_ours_is_not_swallowed(store: Store) -> None:
    class Broken(VirtualLink):
        def read(self, timeout_s: float) -> bytes:
            raise RuntimeError("our own mistake")

    recorder = Recorder(Broken(Pipe()), store)
    recorder.start()
    with pytest.raises(RuntimeError, match="our own mistake"):
        recorder.join(30.0)


def test_two_recorders_on_one_store(script: WheelScript, store: Store) -> None:
    pipes = [Pipe(), Pipe()]
    with (
        powered(pipes[0], script.edges, SPEED, boot=1),
        powered(pipes[1], script.edges, SPEED, boot=2),
        Store.open(store.place) as second,
        recording(VirtualLink(pipes[0]), store, SPEED) as (_, one),
        recording(VirtualLink(pipes[1]), second, SPEED) as (_, two),
    ):
        wait_for(lambda: one.saved and two.saved, "both runs")
    assert sorted(one.saved + two.saved) == ["1", "2"]
    for run_id in ("1", "2"):
        assert_whole(store.run(run_id), script)


def test_a_second_recorder_on_the_same_board_is_refused(script: WheelScript, store: Store) -> None:
    terminal = PseudoTerminal()
    with (
        powered(terminal, [], SPEED),
        recording(SerialLink(terminal.port), store, SPEED) as (_, told),
    ):
        wait_for(lambda: told.of(BoardSeen), "the board")
        with pytest.raises(LinkError, match="in use by another program"):
            Recorder(SerialLink(terminal.port), store).run()
    terminal.close()
    assert len(store.captures()) == 1


def test_no_such_port(store: Store) -> None:
    with pytest.raises(LinkError, match="there is no port"):
        Recorder(cable_link("/dev/ttyUSB77"), store).run()
    assert store.captures() == []


def test_another_protocol_is_said(store: Store) -> None:
    """Frames of a version that this unspool does not speak, as hellos once a second."""
    from unspool.instrument.wire import cobs
    from unspool.instrument.wire.crc import with_crc

    pipe = Pipe()
    told = Told()
    pipe.send((cobs.encode(with_crc(bytes([0xF1]) + bytes(30))) + b"\0") * 3)
    recorder = Recorder(VirtualLink(pipe), store, observers=[told])
    with pytest.raises(BoardError, match="protocol 15"):
        recorder.run()
    assert not told.link_ups[-1]
    assert len(store.chunks(1)) == 1  # what it said is kept all the same


def test_tiers_marked_while_winding(script: WheelScript, store: Store) -> None:
    pipe = Pipe()
    with (
        powered(pipe, script.edges, SPEED),
        recording(VirtualLink(pipe), store, SPEED) as (recorder, told),
    ):
        wait_for(lambda: told.wound > 1.5, "the first tier")
        recorder.mark_tier()
        wait_for(lambda: told.saved, "the run to be saved")
    winding = store.run("1").winding
    assert winding is not None
    assert len(winding.steps) == 2
    assert sum(winding.steps) == pytest.approx(winding.turns)
    assert 1.5 < winding.steps[0] < winding.turns == pytest.approx(4.4, abs=0.05)
    rebuild(store, 1)
    assert store.run("1").winding == winding


def test_silence_is_explained(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("unspool.instrument.record.meeting.SILENT_S", 0.1)
    pipe = Pipe()
    with recording(VirtualLink(pipe), store, SPEED) as (_, told):
        pipe.send(b"GPS garbage \r\n" * 20)
        wait_for(lambda: len(told.link_ups) > 1, "the warning")
    nobody = told.of(LinkChanged)[-1].finding
    assert (nobody.code, nobody.values["there"]) == (RecordCode.NO_BOARD_ANSWERS, "text")


def test_rebuilding_an_unknown_capture(store: Store) -> None:
    with pytest.raises(InputError, match="no capture 3"):
        rebuild(store, 3)


def test_clock_of_a_board_in_real_time_is_stored(store: Store, tmp_path: Path) -> None:
    """A capture of 100 s by the clock, from a board that is 3000 ppm fast."""
    from unspool.instrument.wire import BoardSide, Conversation

    script = wheel_script(sandpiper(), corridor(), seed=3)
    board, host, fast = BoardSide(5), Conversation(), 1.003
    log = store.begin_capture("serial:/dev/ttyUSB0")
    edges, rng = script.edges, np.random.default_rng(1)
    for step in range(18_000):
        now = step * 0.005
        while edges and edges[0][0] <= now:
            at, direction = edges.pop(0)
            board.edge(int(at * fast * 2_000_000), direction)
        board.receive(host.to_send(now))
        data = board.to_send(int(now * fast * 2_000_000))
        host.receive(data)
        if data:
            log.append(1_700_000_000.0 + now + rng.exponential(0.003), data)
    assert rebuild(store, log.capture) == ["1"]
    run = store.run("1")
    assert run.clock is not None
    assert run.clock.ppm == pytest.approx(3000.0, abs=3 * run.clock.sd_ppm)
    assert run.clock.sd_ppm < 60.0
    true = script.truths[0].train.time_s
    span = run.train.time_s[-1] - run.train.time_s[-len(true)]
    assert span == pytest.approx(true[-1] - true[0], rel=3e-4)
