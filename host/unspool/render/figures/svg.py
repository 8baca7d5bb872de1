"""Small drawings as SVG, in millimetres with the y axis upwards, light or dark by the system.

They are shown as images, so they carry their own styles. The colours are those of the app.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html import escape

STYLE = """
.car{--ink:#14181d;--quiet:#474e57;--paper:#fff;--rule:#d3d7dc;--blue:#0b4ea2;--amber:#ffc20a}
@media(prefers-color-scheme:dark){.car{--ink:#f0f2f5;--quiet:#b4bdc7;--paper:#1a2027;--rule:#37414c;
--blue:#8cbcff;--amber:#ffc20a}}
*{vector-effect:non-scaling-stroke}
circle,rect,path,line,polyline{stroke:var(--ink);fill:none;stroke-width:2}
.wheel{fill:var(--rule)}.axle{fill:var(--ink)}.tier{fill:var(--paper);stroke:var(--blue)}
.deck{stroke-width:6}.strut{stroke:var(--quiet)}.pulley{fill:var(--paper)}
.string{stroke:var(--blue)}.weight{fill:var(--amber)}
.landed{stroke-dasharray:5 4;stroke:var(--quiet)}
.measure,.grid{stroke:var(--quiet);stroke-width:1}.balance{stroke:var(--ink)}
.floor{stroke-width:3}.ground{fill:var(--rule);stroke:none}.level{fill:var(--blue);stroke:none}
text{fill:var(--ink);font-family:system-ui,sans-serif;font-weight:600}
""".strip().replace("\n", "")


@dataclass(frozen=True)
class Box:
    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.top - self.bottom

    def grown(self, by: float) -> Box:
        return Box(self.left - by, self.bottom - by, self.right + by, self.top + by)


def svg(view: Box, letters: float, parts: Iterable[str], what: str, *, floor: bool = True) -> str:
    """The picture of what is in the box. letters: size of the text; what: the picture in words.

    floor: with a line at height 0.
    """
    ends = f'x1="{_n(view.left)}" x2="{_n(view.right)}"'
    ground = f'<line class="floor" {ends} y1="0" y2="0"/>' if floor else ""
    sizes = " ".join(map(_n, (view.left, -view.top, view.width, view.height)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{sizes}" class="car" role="img"'
        f' font-size="{_n(letters)}"><title>{escape(what)}</title><style>{STYLE}</style>'
        f"{ground}{''.join(parts)}</svg>"
    )


def line(x0: float, y0: float, x1: float, y1: float, kind: str) -> str:
    ends = f'x1="{_n(x0)}" y1="{_n(-y0)}" x2="{_n(x1)}" y2="{_n(-y1)}"'
    return f'<line class="{kind}" {ends}/>'


def circle(x: float, y: float, radius: float, kind: str) -> str:
    return f'<circle class="{kind}" cx="{_n(x)}" cy="{_n(-y)}" r="{_n(radius)}"/>'


def polygon(points: Sequence[tuple[float, float]], kind: str) -> str:
    path = "L".join(f"{_n(x)},{_n(-y)}" for x, y in points)
    return f'<path class="{kind}" d="M{path}z"/>'


def rectangle(x: float, y: float, width: float, height: float, kind: str) -> str:
    corner = f'x="{_n(x)}" y="{_n(-y - height)}"'
    return f'<rect class="{kind}" {corner} width="{_n(width)}" height="{_n(height)}"/>'


def text(x: float, y: float, words: str, anchor: str = "start") -> str:
    """words: as markup, so names in them are escaped by the caller."""
    return f'<text x="{_n(x)}" y="{_n(-y)}" text-anchor="{anchor}">{words}</text>'


def _n(value: float) -> str:
    """Two decimals are a hundredth of a millimetre."""
    return f"{value:.2f}".rstrip("0").rstrip(".")
