"""What happened in a run. Its edges, car and winding come in.

A Reading goes out: events, stretches, energy and findings.
"""

from unspool.reading.events.analyse import analyse
from unspool.reading.events.types import Reading, Stretch

__all__ = ["Reading", "Stretch", "analyse"]
