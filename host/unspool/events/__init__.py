"""What happened in a run: events, findings, the energy ledger."""

from unspool.events.read import read_run
from unspool.events.report import reading_json
from unspool.events.types import Finding, Reading, Stretch

__all__ = ["Finding", "Reading", "Stretch", "read_run", "reading_json"]
