"""What stands around every page: the places, the banner, and the page's own place."""

from __future__ import annotations

from dash import dcc, html

from unspool.app.banner import Banner, banner_part
from unspool.app.own_files import GRID, PLOTLY, SCRIPTS, STYLES, address
from unspool.app.parts import attributes, button
from unspool.app.places import PLACES
from unspool.render.words.reading_units import ReadingUnits

TICK_MS = 500  # from one look at work under way to the next
PAPER, PAPER_DARK = "#f4f1ea", "#0f1317"  # --ground in colours.css
INDEX = f"""<!DOCTYPE html>
<html lang="en">
<head>
{{%metas%}}
<meta name="color-scheme" content="light dark">
<meta name="theme-color" media="(prefers-color-scheme: light)" content="{PAPER}">
<meta name="theme-color" media="(prefers-color-scheme: dark)" content="{PAPER_DARK}">
<title>{{%title%}}</title>
<link rel="icon" type="image/svg+xml" href="{address("mark.svg")}">
{{%css%}}
</head>
<body data-plotly="{address(PLOTLY)}" data-grid="{address(GRID)}">
<noscript>unspool draws its pages with scripts: please allow scripts for this address.</noscript>
{{%app_entry%}}
<footer>{{%config%}}{{%scripts%}}{{%renderer%}}</footer>
</body>
</html>"""


def styles() -> list[str]:
    return [address(file) for file in STYLES]


def scripts() -> list[str]:
    return [address(file) for file in SCRIPTS]


def shell(banner: Banner) -> html.Div:
    return html.Div(
        [
            dcc.Location(id="address", refresh="callback-nav"),
            html.A("Skip to the content", href="#main", className="skip"),
            html.Header(
                [
                    dcc.Link("unspool", href="/", className="wordmark"),
                    html.Nav(links(""), id="places", **attributes(aria_label="Places")),
                ],
                className="masthead",
            ),
            banner_part(banner),
            html.Main(html.P("Opening the page."), id="main", tabIndex="-1"),
            _foot(),
            dcc.Store(id="again"),  # changes if the page is to be made again in place
            dcc.Store(id="title"),
            dcc.Store(id="shown"),
            dcc.Interval(id="tick", interval=TICK_MS, disabled=True),
        ]
    )


def _foot() -> html.Footer:
    """What is not of one place, and the units to read in: the script units.js keeps the choice."""
    choices = ((ReadingUnits.METRIC, "Metres, grams"), (ReadingUnits.FEET, "Feet, inches, ounces"))
    buttons = [button(text, data_units=units, data_local="") for units, text in choices]
    contests = dcc.Link("Contests", href="/contest")
    onward = [contests, dcc.Link("Let others look on", href="/share")]
    return html.Footer(
        [
            html.P(onward, className="links"),
            html.Div([html.Span("Read in"), *buttons], className="units"),
            html.P("Fields that you type into keep the units that they name.", className="quiet"),
        ],
        className="foot",
    )


def links(place: str) -> list[dcc.Link]:
    """dcc.Link accepts no aria-current; the script that sets the title sets that too."""
    return [
        dcc.Link(one.text, href=one.href, className=f"{one.name}{' here' * (one.name == place)}")
        for one in PLACES
    ]
