"""A picture as its reader reads: units of axes, values, marks and what hovers, and decimal sign.

Pictures are made in metric units, with the unit of an axis in its title: "distance (m)".
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import plotly.graph_objects as go

from unspool.language import decimal_sign, language
from unspool.render.words.reading_units import Reading, reading_of

THIN_SPACE = "\u2009"  # between thousands
_TITLE = re.compile(r"^(.*)\(([^()]+)\)$")
# What is measured along each axis, by trace and by shape or annotation.
_OF_TRACE = {"x": ("x", "x0"), "y": ("y", "y0"), "z": ("z", "zmin", "zmax")}
_OF_MARK = {"x": ("x", "x0", "x1"), "y": ("y", "y0", "y1")}


def for_reader(figure: go.Figure) -> go.Figure:
    """The same picture, or a copy in the reader's units with the reader's decimal sign."""
    shown = in_reading_units(figure)
    sign = decimal_sign(language())
    if sign == ".":
        return shown
    return go.Figure(shown).update_layout(separators=f"{sign}{THIN_SPACE}")


def in_reading_units(figure: go.Figure) -> go.Figure:
    """The same picture, or a copy in the reader's units."""
    found = {way: read for way in "xyz" if (read := _read(figure, way)) is not None}
    if not found:
        return figure
    shown = go.Figure(figure)
    for way, read in found.items():
        _title(shown, way, read.unit)
        for trace in shown.data:
            _scale(trace, _OF_TRACE[way], read.factor)
            _hover(trace, way, _unit(figure, way), read.unit)
        if way in _OF_MARK:
            _axis(shown.layout[f"{way}axis"], read.factor)
            for mark in _marks(shown, way):
                _scale(mark, _OF_MARK[way], read.factor)
    return shown


def _holder(figure: go.Figure, way: str) -> Any:
    """What has the title of an axis: for z the bar of colours."""
    if way != "z":
        return figure.layout[f"{way}axis"]
    return next((trace.colorbar for trace in figure.data if trace.type == "heatmap"), None)


def _unit(figure: go.Figure, way: str) -> str:
    holder = _holder(figure, way)
    found = _TITLE.match(holder.title.text or "") if holder is not None else None
    return found[2] if found else ""


def _read(figure: go.Figure, way: str) -> Reading | None:
    """None if the reader sees this axis as it is."""
    unit = _unit(figure, way)
    read = reading_of(unit)
    return None if read.unit == unit else read


def _title(figure: go.Figure, way: str, unit: str) -> None:
    title = _holder(figure, way).title
    title.text = _TITLE.sub(rf"\1({unit})", title.text)


def _axis(axis: Any, factor: float) -> None:
    for name in ("range", "tickvals"):
        if axis[name] is not None:
            axis[name] = [None if one is None else factor * one for one in axis[name]]
    if axis.dtick is not None:
        axis.dtick = None


def _marks(figure: go.Figure, way: str) -> Iterator[Any]:
    """Shapes and annotations that are placed along the axis, not on the paper."""
    for mark in (*figure.layout.shapes, *figure.layout.annotations):
        if mark[f"{way}ref"] in (None, way):
            yield mark


def _scale(part: Any, names: tuple[str, ...], factor: float) -> None:
    for name in names:
        if name in part and part[name] is not None:
            part[name] = _scaled(part[name], factor)
    for error in ("error_x", "error_y"):
        if error[-1] == names[0] and error in part and part[error].array is not None:
            part[error].array = _scaled(part[error].array, factor)


def _scaled(values: Any, factor: float) -> Any:
    """Names on an axis of names stay."""
    if isinstance(values, int | float):
        return factor * values
    if isinstance(values, str) or any(isinstance(one, str) for one in np.ravel(values)):
        return values
    return np.asarray(values, dtype=np.float64) * factor


def _hover(trace: Any, way: str, before: str, after: str) -> None:
    if "hovertemplate" in trace and isinstance(template := trace["hovertemplate"], str):
        pattern = rf"(%\{{{way}[^}}]*\}}[\s\u00a0]){re.escape(before)}(?![\w/²])"
        trace["hovertemplate"] = re.sub(pattern, rf"\g<1>{after}", template)
