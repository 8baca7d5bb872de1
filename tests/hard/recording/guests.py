"""Guests who do their worst to the live page while a run is recorded: the recording is not hurt."""

from __future__ import annotations

import random
from contextlib import ExitStack, suppress
from pathlib import Path

from hard.app_requests import ACTS, few_descriptors, owner_waits, port_of
from hard.asking import Started
from hard.board_bytes import script
from hard.hard_class import HardClass, Tried
from hard.recording.board_process import BoardProcess
from hard.recording.expected import Expected
from hard.recording.kept import faults_of
from hard.recording.recorders import stopped, until_saved
from unspool.virtual.demo.scenario import SANDPIPER

A_CASE = 4  # acts in one recording


def case(rng: random.Random, place: Path) -> Tried:
    true, acts = script(), [rng.choice(ACTS) for _ in range(A_CASE)]
    words = ["record", "--cable", str(place / "port"), "--car", str(SANDPIPER)]
    faults: list[str] = []
    with BoardProcess(place / "port", true.edges) as board, ExitStack() as open_ones:
        page = ["--port", "0", "--share", "--store", "s"]
        recording = Started([*words, *page], place, before=few_descriptors)
        port = port_of(recording)
        for act in acts:
            with suppress(OSError):  # to be refused is what these ask for
                act(rng, port, open_ones)
            faults += [f"after {act.__name__}: {fault}" for fault in owner_waits(port)]
        faults += until_saved(place, true) + stopped(recording)
        acknowledged = board.acknowledged
    faults += faults_of(place / "s", {7: Expected(true, acknowledged)})
    return Tried(", ".join(act.__name__ for act in acts), faults)


CLASSES = (HardClass("guests", f"{A_CASE} hostile acts on the page of a recording", 40, 1, case),)
