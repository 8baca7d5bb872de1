"""The banner as it stands above a page."""

from __future__ import annotations

from dash import html

from unspool.app.banner import Banner
from unspool.app.parts.texts import attributes
from unspool.language import _


def banner_part(shown: Banner) -> html.Section:
    """Two sentences, which a screen reader says when they change."""
    said = html.Div(
        [
            html.P(shown.headline, className="headline", **attributes(data_banner="headline")),
            html.P(shown.advice, className="advice", **attributes(data_banner="advice")),
        ],
        role="status",
        **attributes(aria_live="polite", aria_atomic="true"),
    )
    tone = attributes(aria_label=_("State"), data_tone=shown.tone.value)
    return html.Section(said, id="banner", className="banner", **tone)
