"""How much of a run a calibration uses, by what its reading found.

A reading's findings decide, nothing else: what is odd about one run is judged once, when it is
read. Whether a run disagrees with the others is another question, and pool.py answers it.
"""

from __future__ import annotations

from dataclasses import dataclass

from unspool.finding import Finding, Severity, note, warning
from unspool.reading.events.codes import ReadingCode
from unspool.study.calibration.codes import CalibrationCode
from unspool.study.calibration.run_coasts import coast_begin_m
from unspool.study.calibration.types import CalibrationRun

FEWEST_EDGES = 12  # three forces, the launch, the origin, and about as many to judge them by
# Distances mean nothing, or nothing was rolled.
USELESS = (ReadingCode.DID_NOT_START, ReadingCode.SLOT_COUNT_DOUBTFUL)
# The drive was not the one that the winding gives, and the coast is sound.
SPOILT_DRIVE = (
    ReadingCode.SLIP_AT_START,
    ReadingCode.HANDLED,
    ReadingCode.EARLY_RELEASE,
    ReadingCode.STRING_HELD,
    ReadingCode.SLIPPING,
)


@dataclass(frozen=True)
class RunUse:
    """left_out: why a run is not used. without_drive: why it says nothing of the drive.

    begin_m: the distance from which its edges count. rest_m: where it came to rest, None if its
    edges end before that, or the distance from its launch is not known.
    """

    left_out: Finding | None = None
    without_drive: Finding | None = None
    begin_m: float = 0.0
    rest_m: float | None = None

    @property
    def drive_spoilt(self) -> bool:
        """Whether the drive was not the one that the winding gives."""
        code = self.without_drive.code if self.without_drive else None
        return code == CalibrationCode.COAST_ONLY


def run_use(run: CalibrationRun) -> RunUse:
    """How much of the run to use, by its reading's findings."""
    reading, name = run.reading, run.name
    grave = {f.code: f for f in reading.findings if f.severity is Severity.WARNING}
    for code in USELESS:
        if code in grave:
            left_out = warning(CalibrationCode.RUN_LEFT_OUT, run=name, found=str(code))
            return RunUse(left_out=left_out)
    edges = int(reading.motion.way_out)
    if edges < FEWEST_EDGES:
        return RunUse(left_out=warning(CalibrationCode.TOO_FEW_EDGES, run=name, edges=edges))
    if ReadingCode.LAUNCH_NOT_SEEN in grave or ReadingCode.EDGES_LOST_BEFORE in grave:
        return RunUse(without_drive=note(CalibrationCode.BEGINS_AFTER_LAUNCH, run=name))
    rest_m = reading.distance_m if reading.motion.measures_distance else None
    spoilt = [code for code in SPOILT_DRIVE if code in grave]
    if not spoilt:
        return RunUse(rest_m=rest_m)
    ends = (grave[code].values.get("end_m") for code in spoilt)
    pushed_m = max((float(end) for end in ends if isinstance(end, float)), default=0.0)
    why = note(CalibrationCode.COAST_ONLY, run=name, found=str(spoilt[0]))
    return RunUse(None, why, coast_begin_m(reading, pushed_m), rest_m)
