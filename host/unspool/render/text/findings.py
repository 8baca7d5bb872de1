"""A finding as a line on the screen."""

from __future__ import annotations

from rich.text import Text

from unspool.finding import Finding, Severity
from unspool.render.words.findings import sentence


def finding_line(finding: Finding) -> Text:
    """A warning is bold and marked with `!`, a note with `-`."""
    if finding.severity is Severity.WARNING:
        return Text(f"! {sentence(finding)}", style="bold")
    return Text(f"- {sentence(finding)}")
