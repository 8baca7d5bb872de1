"""What is odd about a run, in builder's words, with what to do about it."""

from unspool.events.findings.all import findings
from unspool.events.findings.seen import Seen
from unspool.events.findings.start import did_not_start

__all__ = ["Seen", "did_not_start", "findings"]
