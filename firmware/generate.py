"""Writes what is made from the message table: core/messages.h and the tables of docs/protocol.md.

Run it after a change of host/unspool/instrument/wire/table.py: `python firmware/generate.py`.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
sys.path.insert(0, str(ROOT / "host"))

from unspool.instrument.wire import table

HEADER = ROOT / "firmware" / "core" / "messages.h"
PAGE = ROOT / "docs" / "protocol.md"
MARK = "<!-- made by firmware/generate.py: {} -->"


def header() -> str:
    return "\n".join(_header_lines()) + "\n"


def _header_lines() -> Iterator[str]:
    yield "/* Made by firmware/generate.py from host/unspool/instrument/wire/table.py. */"
    yield "#ifndef MESSAGES_H"
    yield "#define MESSAGES_H"
    yield ""
    yield "#include <stdint.h>"
    yield ""
    yield f"#define TABLE_HASH UINT32_C(0x{table.TABLE_HASH:08X})"
    for name in table.CONSTANTS:
        yield f"#define {name} {getattr(table, name)}"
    for name in ("BLOCK_STARTS", "BLOCK_RESTARTED", "SAMPLE_A", "SAMPLE_B"):
        yield f"#define {name} 0x{getattr(table, name):02X}U"
    yield f"#define SAMPLE_BYTES {table.SAMPLE_BYTES}"
    host = [message for message in table.MESSAGES if message.sender == "host"]
    yield f"#define MAX_HOST_PAYLOAD {max(message.fixed_size for message in host)}"
    yield ""
    for message in table.MESSAGES:
        yield f"#define HEAD_{message.name.upper()} 0x{message.head:02X}U"
    named = [f"(head) == HEAD_{one.name.upper()}" for one in host if one.named]
    yield f"#define NAMES_A_BOARD(head) ({' || '.join(named)})"
    for message in host:
        yield from _field_lines(message)
    yield ""
    yield "/* STATUS.reset_cause */"
    yield "enum reset_cause {"
    for cause in table.ResetCause:
        yield f"    RESET_{cause.name} = {cause.value},"
    yield "};"
    yield ""
    yield "#endif"


def _field_lines(message: table.Message) -> Iterator[str]:
    """Where a host's fields stand in the payload, and the payload's size."""
    yield ""
    offset = 0
    for field in message.fields:
        yield f"#define {message.name.upper()}_{field.name.upper()} {offset}"
        offset += table.SIZES[field.kind]
    yield f"#define {message.name.upper()}_BYTES {offset}"


def page(text: str) -> str:
    """The protocol page with its generated parts brought up to date."""
    for part, lines in (("messages", _message_lines()), ("constants", _constant_lines())):
        begin, end = MARK.format(part), MARK.format(f"end of {part}")
        found = re.search(f"{re.escape(begin)}.*?{re.escape(end)}", text, re.DOTALL)
        if found is None:
            raise SystemExit(f"{PAGE}: no line {begin}")
        made = "\n".join([begin, "", *lines, "", end])
        text = text[: found.start()] + made + text[found.end() :]
    return text


def _message_lines() -> Iterator[str]:
    for message in table.MESSAGES:
        named = ", named" if message.named else ""
        yield f"**{message.name.upper()}**, {message.number}, from the {message.sender}{named}:"
        yield ""
        yield "| field | type | unit | meaning |"
        yield "|---|---|---|---|"
        for field in message.fields:
            yield f"| `{field.name}` | {field.kind} | {field.unit} | {field.meaning} |"
        yield ""
    yield f"Table hash of this version: `{table.TABLE_HASH:08x}`."


def _constant_lines() -> Iterator[str]:
    yield "| constant | value |"
    yield "|---|---|"
    for name in table.CONSTANTS:
        yield f"| `{name}` | {getattr(table, name)} |"


def main() -> None:
    HEADER.write_text(header(), encoding="utf-8", newline="\n")
    PAGE.write_text(page(PAGE.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
