"""Errors that carry faults: their sentences, and the same under other names."""

from __future__ import annotations

from unspool.errors import Fault, all_faults, one_fault, with_other_names

FAULTS = (Fault("slots", "0", "2 to 360"), Fault("disc", "300 by 314 mm", "at most 194 by 242 mm"))


def test_one_fault_is_its_sentence() -> None:
    error = one_fault("--distance", "-1", "above 0")
    assert str(error) == "--distance: found -1, expected above 0"
    assert error.faults == (Fault("--distance", "-1", "above 0"),)


def test_several_stand_one_a_line() -> None:
    error = all_faults("the part cannot be made as asked", iter(FAULTS))
    head, *lines = str(error).split("\n")
    assert head == "the part cannot be made as asked:"
    assert lines == [f"  {fault}" for fault in FAULTS]
    assert error.faults == FAULTS


def test_other_names_change_the_places_only() -> None:
    error = all_faults("the part cannot be made as asked", FAULTS)
    renamed = with_other_names(error, lambda where: "--slots" if where == "slots" else where)
    assert str(renamed) == str(error).replace("\n  slots:", "\n  --slots:")
    assert [fault.where for fault in renamed.faults] == ["--slots", "disc"]
