"""The messages in the code, and the catalogues that translate them."""

from __future__ import annotations

import re
import string
from collections.abc import Iterator
from pathlib import Path
from typing import BinaryIO

from babel.messages.catalog import Catalog, Message
from babel.messages.extract import extract_from_dir
from babel.messages.pofile import read_po, write_po

from unspool.app.script_words import script_messages
from unspool.language import ENGLISH, LANGUAGES

HOST = Path(__file__).parents[2] / "host" / "unspool"
LOCALE = HOST / "locale"
KEYWORDS = {"_": None, "later": None, "Phrase": None, "many": (1, 2)}
METHODS = [("**.py", "python"), ("**.js", "catalogues.messages:in_script")]
OTHERS = tuple(code for code in LANGUAGES if code != ENGLISH)


# The extractor reads no message within an f-string.
_IN_F_STRING = re.compile(r"""\{(?:_|many)\(["']""")


def hidden() -> list[str]:
    """Files with a message where the extractor does not look."""
    files = sorted(HOST.rglob("*.py"))
    return [str(one) for one in files if _IN_F_STRING.search(one.read_text("utf-8"))]


def in_script(
    file: BinaryIO, _keywords: object, _tags: object, options: object
) -> Iterator[tuple[int, str, str | tuple[str, str], list[str]]]:
    """What babel asks of an extractor: line, function, message and comments of each message."""
    for line, message in script_messages(file.read().decode()):
        yield line, "_" if isinstance(message, str) else "many", message, []


def in_code() -> Catalog:
    """Every message that the code can show, in English, in the order of the files."""
    found = Catalog(charset="utf-8")
    rows = extract_from_dir(HOST, METHODS, keywords=KEYWORDS, directory_filter=_not_vendored)
    for _file, _line, message, _comments, _context in rows:
        found.add(message)
    return found


def _not_vendored(path: str | bytes) -> bool:
    return Path(str(path)).name not in {"plotly", "grid", "__pycache__"}


def catalogue(code: str) -> Catalog:
    """The messages of a language. Raises FileNotFoundError if it has none yet."""
    with (LOCALE / f"{code}.po").open("rb") as file:
        return read_po(file)  # without a language it knows two forms of plural, as the code does


def renew(code: str) -> int:
    """Takes new messages into a language's file, drops what nobody says, returns what is open."""
    path = LOCALE / f"{code}.po"
    known = catalogue(code) if path.exists() else Catalog()
    known.update(in_code(), no_fuzzy_matching=True)
    known.obsolete.clear()
    with path.open("wb") as file:
        write_po(file, known, width=100, no_location=True, omit_header=True)
    return sum(1 for one in messages(known) if not all(forms(one)))


def messages(of: Catalog) -> list[Message]:
    return [one for one in of if one.id]


def forms(message: Message) -> tuple[str, ...]:
    """The translation; of a plural, each of its forms."""
    return tuple(message.string) if message.pluralizable else (str(message.string or ""),)


def fields(text: str) -> set[str]:
    """The names in braces of a message."""
    return {name for _text, name, _spec, _conversion in string.Formatter().parse(text) if name}


def wrong_fields(code: str) -> Iterator[str]:
    """Messages whose fields are not the English ones; "one attempt" may do without its count."""
    for one in messages(catalogue(code)):
        english = fields(one.id[1] if one.pluralizable else one.id)
        singular = fields(one.id[0] if one.pluralizable else one.id)
        for number, form in enumerate(forms(one)):
            if fields(form) not in ((singular, english) if number == 0 else (english,)):
                yield f"{code}: {form}"
