"""What stands out in a run. The law that fits its edges and the prediction come in.

Findings go out, in the order of the run.
"""

from unspool.reading.events.findings.all import findings
from unspool.reading.events.findings.evidence import Evidence
from unspool.reading.events.findings.start import did_not_start

__all__ = ["Evidence", "did_not_start", "findings"]
