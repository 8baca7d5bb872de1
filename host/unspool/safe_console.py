"""The console that every page of text is printed on."""

from __future__ import annotations

from collections.abc import Iterable

from rich.console import Console, ConsoleOptions, RenderableType
from rich.segment import Segment

from unspool.safe_text import visible


class SafeConsole(Console):
    """A console that shows control characters of a text instead of obeying them.

    Its own colours and cursor moves still work: they come as styles and control segments.
    """

    def render(
        self, renderable: RenderableType, options: ConsoleOptions | None = None
    ) -> Iterable[Segment]:
        for segment in super().render(renderable, options):
            if segment.control:
                yield segment
            else:
                yield Segment(visible(segment.text), segment.style)
