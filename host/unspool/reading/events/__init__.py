"""What happened in a run: events, findings, the energy ledger."""

from unspool.reading.events.analyse import analyse
from unspool.reading.events.types import Reading, Stretch

__all__ = ["Reading", "Stretch", "analyse"]
