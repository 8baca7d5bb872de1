"""Parts that pages are made of. Words, figures and addresses come in.

Pieces of a layout go out. DEVELOPERS.md says which to take when.
"""

from unspool.app.parts.answer import Tile, answer, tiles
from unspool.app.parts.empty import command, empty
from unspool.app.parts.fields import NUMBER_BOX, Field, button, field, form_error
from unspool.app.parts.fold import fold
from unspool.app.parts.picture import picture, save_buttons
from unspool.app.parts.table import Cell, Cells, table
from unspool.app.parts.texts import (
    attributes,
    local_time,
    short_note,
    winding_text,
    with_parts,
)

__all__ = [
    "NUMBER_BOX",
    "Cell",
    "Cells",
    "Field",
    "Tile",
    "answer",
    "attributes",
    "button",
    "command",
    "empty",
    "field",
    "fold",
    "form_error",
    "local_time",
    "picture",
    "save_buttons",
    "short_note",
    "table",
    "tiles",
    "winding_text",
    "with_parts",
]
