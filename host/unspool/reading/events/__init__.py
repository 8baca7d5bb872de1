"""What happened in a run: events, findings, the energy ledger."""

from unspool.reading.events.analyse import analyse
from unspool.reading.events.report import reading_json
from unspool.reading.events.types import Finding, Reading, Stretch

__all__ = ["Finding", "Reading", "Stretch", "analyse", "reading_json"]
