"""What the study pages have in common: asked for, under way, done, or in trouble."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from dash import html
from dash.development.base_component import Component

from unspool.app.jobs import Job
from unspool.app.pages.page import Page
from unspool.errors import UnspoolError

T = TypeVar("T")


@dataclass(frozen=True)
class Study:
    """A page's title and place, and its form; said puts an error into the page's own words."""

    title: str
    place: str
    form: Callable[[], Component]
    said: Callable[[UnspoolError], str] = str

    def plain(self) -> Page:
        """The form alone, where nothing is asked for."""
        return self._page([])

    def of(self, ask: Callable[[], Job[T]], show: Callable[[T], list[Component]]) -> Page:
        """What the job made, above the form; while it is at work, a page that says so."""
        try:
            job = ask()
            if not job.wait(0.0):
                return self._pending(job.doing)
            return self._page(show(job.result()))
        except UnspoolError as error:
            return self._page([html.P(self.said(error), className="finding warning")])

    def _page(self, result: list[Component]) -> Page:
        parts = [html.H1(self.title), *result, self.form()]
        return Page(self.title, html.Article(parts, className="study"), self.place)

    def _pending(self, doing: str) -> Page:
        """The page is asked for again until the work is done."""
        body = html.Section(
            [html.H1(self.title), html.P(f"Working on it: {doing}.", role="status")],
            className="pending",
        )
        return Page(self.title, body, self.place, pending=True)
