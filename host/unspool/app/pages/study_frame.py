"""The frame of the study pages: not asked yet, under way, done or failed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

from dash import dcc, html
from dash.development.base_component import Component

from unspool.app.attempt_names import fault_words
from unspool.app.jobs import Job
from unspool.app.pages.page import Page
from unspool.app.parts import empty
from unspool.errors import UnspoolError
from unspool.language import _
from unspool.store import Store

T = TypeVar("T")


def nothing_yet(title: str, place: str) -> Page:
    """The page of a store without an attempt."""
    ways = html.Span(
        [dcc.Link(_("Track"), href="/"), dcc.Link(_("Logbook"), href="/logbook")], className="links"
    )
    return Page(
        title,
        empty(
            title,
            _("There is no attempt yet. Record one on Track, or import some in the Logbook."),
            ways,
        ),
        place,
    )


@dataclass(frozen=True)
class StudyPage:
    """Title and place of a page, and its form, which is asked for opened or folded.

    error_text puts an error into the page's own words; the store knows the attempts' names.
    """

    title: str
    place: str
    form: Callable[[bool], Component]
    store: Store
    error_text: Callable[[UnspoolError], str] = str

    def form_alone(self) -> Page:
        """The page before anything is asked."""
        return self._page([], opened=True)

    def of(self, request: Callable[[], Job[T]], show: Callable[[T], list[Component]]) -> Page:
        """The job's result above the form. While the job is at work, the page says so."""
        try:
            job = request()
            if not job.wait(0.0):
                return self._pending(job.doing())
            return self._page(show(job.result()), opened=False)
        except UnspoolError as error:
            text = fault_words(self.error_text(error), self.store)
            return self._page([html.P(text, className="finding warning")], opened=True)

    def _page(self, result: list[Component], *, opened: bool) -> Page:
        parts = [html.H1(self.title), *result, self.form(opened)]
        return Page(self.title, html.Article(parts, className="study"), self.place)

    def _pending(self, doing: str) -> Page:
        """The browser asks for this page again until the work is done."""
        body = html.Section(
            [html.H1(self.title), html.P(_("Working on it: {doing}.", doing=doing), role="status")],
            className="pending",
        )
        return Page(self.title, body, self.place, pending=True)
