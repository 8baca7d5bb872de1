"""A page that needs no script: a heading, a sentence, and what else it holds."""

from __future__ import annotations

from html import escape

from fastapi.responses import HTMLResponse

from unspool.app.own_files import STYLES, address
from unspool.language import language

_PAGE = """<!DOCTYPE html>
<html lang="{language}">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>{title} - unspool</title>
<meta name="color-scheme" content="light dark">
<link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
{styles}
</head>
<body>
<main id="main">
<h1>{heading}</h1>
<p>{text}</p>
{markup}
</main>
</body>
</html>"""


def plain_page(title: str, heading: str, text: str, markup: str, status: int = 200) -> HTMLResponse:
    """title, heading and text are words; markup is ours, and stands below them as it is."""
    styles = "\n".join(f'<link rel="stylesheet" href="{address(file)}">' for file in STYLES)
    words = {"title": escape(title), "heading": escape(heading), "text": escape(text)}
    return HTMLResponse(
        _PAGE.format(**words, language=language(), markup=markup, styles=styles), status
    )
