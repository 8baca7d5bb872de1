"""Results kept in the store, so that nothing is computed twice. A MeasuredRun of a store comes in.

Its Reading, or the Calibration of several, goes out, kept or made, equal to the last digit.
"""

from unspool.kept.calibrations import Calibrations
from unspool.kept.readings import Readings

__all__ = ["Calibrations", "Readings"]
