"""What stands around every page: the places, the banner, and the page's own place."""

from __future__ import annotations

from collections.abc import Iterable

from dash import dcc, html

from unspool.app.banner import Banner
from unspool.app.own_files import GRID, PLOTLY, SCRIPTS, STYLES, address
from unspool.app.parts import attributes, button
from unspool.app.parts.banner import banner_part
from unspool.app.places import PLACES
from unspool.app.reader import LANGUAGE, UNITS
from unspool.app.script_words import words_address
from unspool.language import ENGLISH, LANGUAGES, _, language, later
from unspool.render.words.reading_units import ReadingUnits

TICK_MS = 500  # from one look at work under way to the next
PAPER, PAPER_DARK = "#f4f1ea", "#0f1317"  # --ground in colours.css
NO_SCRIPTS = later("unspool draws its pages with scripts: please allow scripts for this address.")
INDEX = f"""<!DOCTYPE html>
<html lang="{ENGLISH}">
<head>
{{%metas%}}
<meta name="color-scheme" content="light dark">
<meta name="theme-color" media="(prefers-color-scheme: light)" content="{PAPER}">
<meta name="theme-color" media="(prefers-color-scheme: dark)" content="{PAPER_DARK}">
<title>{{%title%}}</title>
<link rel="icon" type="image/svg+xml" href="{address("mark.svg")}">
{{%css%}}
<!-- words -->
</head>
<body data-plotly="{address(PLOTLY)}" data-grid="{address(GRID)}">
<noscript>{NO_SCRIPTS}</noscript>
{{%app_entry%}}
<footer>{{%config%}}{{%scripts%}}{{%renderer%}}</footer>
</body>
</html>"""


def in_reader_language(page: str) -> str:
    """The page that holds all others, made from INDEX in English."""
    code = language()
    if code == ENGLISH:
        return page
    words = f'<script src="{words_address(code)}"></script>'
    page = page.replace(f'<html lang="{ENGLISH}">', f'<html lang="{code}">', 1)
    return page.replace("<!-- words -->", words, 1).replace(NO_SCRIPTS, _(NO_SCRIPTS), 1)


def styles() -> list[str]:
    return [address(file) for file in STYLES]


def scripts() -> list[str]:
    return [address(file) for file in SCRIPTS]


def shell(banner: Banner) -> html.Div:
    return html.Div(
        [
            dcc.Location(id="address", refresh="callback-nav"),
            html.A(_("Skip to the content"), href="#main", className="skip"),
            html.Header(
                [
                    dcc.Link("unspool", href="/", className="wordmark"),
                    html.Nav(links(""), id="places", **attributes(aria_label=_("Places"))),
                ],
                className="masthead",
            ),
            banner_part(banner),
            html.Main(
                html.P(_("Opening the page.")),
                id="main",
                tabIndex="-1",
                **attributes(data_working=_("Working on it")),
            ),
            _foot(),
            dcc.Store(id="again"),  # changes if the page is to be made again in place
            dcc.Store(id="title"),
            dcc.Store(id="shown"),
            dcc.Interval(id="tick", interval=TICK_MS, disabled=True),
        ]
    )


def _foot() -> html.Footer:
    """What is not of one place, and how to read: the script settings.js keeps the choices."""
    units = (
        (ReadingUnits.METRIC, _("Metres, grams")),
        (ReadingUnits.FEET, _("Feet, inches, ounces")),
    )
    contests = dcc.Link(_("Contests"), href="/contest")
    onward = [contests, dcc.Link(_("Let others look on"), href="/share")]
    return html.Footer(
        [
            html.P(onward, className="links"),
            html.Div(
                [html.Span(_("Read in")), *_kept(UNITS, units, ReadingUnits.METRIC)],
                className="settings",
            ),
            html.Div(
                [html.Span(_("Language")), *_kept(LANGUAGE, tuple(LANGUAGES.items()), language())],
                className="settings",
            ),
            html.P(
                _("Fields that you type into keep the units that they name."), className="quiet"
            ),
        ],
        className="foot",
    )


def _kept(cookie: str, choices: Iterable[tuple[str, str]], otherwise: str) -> list[html.Button]:
    """A button each. otherwise: what holds for a browser without the cookie."""
    kept = {"data_keep": cookie, "data_otherwise": otherwise, "data_local": ""}
    said_in = {
        code: {"lang": code} for code in LANGUAGES
    }  # by its own name, so in its own language
    return [
        button(text, data_value=value, **kept, **said_in.get(value, {})) for value, text in choices
    ]


def links(place: str) -> list[dcc.Link]:
    """dcc.Link accepts no aria-current; the script that sets the title sets that too."""
    return [
        dcc.Link(_(one.text), href=one.href, className=f"{one.name}{' here' * (one.name == place)}")
        for one in PLACES
    ]
