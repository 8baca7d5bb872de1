"""Readings kept in the store, so that no run is read twice. A MeasuredRun of a store comes in.

Its Reading goes out, kept or made, equal to the last digit.
"""

from unspool.kept.readings import Readings

__all__ = ["Readings"]
