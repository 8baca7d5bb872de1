"""Where the energy goes, of each 100 J."""

from __future__ import annotations

from dataclasses import replace

from unspool.model import predict
from unspool.model.outcome import EnergyLedger
from unspool.render.words.energy_shares import energy_shares
from unspool.virtual.demo.scenario import sandpiper

LEDGER = EnergyLedger(
    stored=2.0,
    left_in_weight=0.02,
    drive=0.4,
    catches=0.001,
    landing=0.06,
    rolling=1.2,
    air=0.319,
    grade=0.0,
    unexplained=None,
)


def test_shares_are_of_a_hundred_and_the_largest_comes_first() -> None:
    """0.001 J of 2 J is less than half a joule of a hundred, and is left out."""
    assert energy_shares(LEDGER) == [
        ("rolling", 60),
        ("the drive", 20),
        ("the air", 16),
        ("the landing of the weight", 4),
    ]


def test_a_predicted_run_spends_all_that_it_has() -> None:
    assert abs(sum(share for _, share in energy_shares(predict(sandpiper()).energy)) - 100) <= 2


def test_a_weight_that_gives_nothing_has_no_shares() -> None:
    assert energy_shares(replace(LEDGER, stored=0.0)) == []
