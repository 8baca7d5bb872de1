"""What is odd about a run, in builder's words, with what to do about it."""

from unspool.reading.events.findings.all import findings
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.start import did_not_start

__all__ = ["Evidence", "did_not_start", "findings"]
