"""`unspool shortcut`: something to click that opens the app."""

from __future__ import annotations

import shlex
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from unspool.cli.output_files import Force, write_new

PROGRAM = (sys.executable, "-m", "unspool")


@dataclass(frozen=True)
class Shortcut:
    """A file to click. It opens a terminal, so that closing the window ends the app."""

    name: str
    text: str
    executable: bool = False


def shortcut(
    folder: Annotated[
        Path | None, typer.Option(help="Where to put it: else the desktop, or the menu on Linux.")
    ] = None,
    force: Force = False,
) -> None:
    """Write a shortcut that opens the app with a click."""
    made = shortcut_for(sys.platform, PROGRAM)
    path = (folder or _usual_folder(sys.platform)) / made.name
    path.parent.mkdir(parents=True, exist_ok=True)
    write_new(path, made.text, force=force)
    if made.executable:
        path.chmod(0o755)
    print(f"{path}: click it to open unspool")


def shortcut_for(platform: str, program: tuple[str, ...]) -> Shortcut:
    """platform as in sys.platform."""
    if platform == "win32":
        return Shortcut("unspool.cmd", _windows(program))
    if platform == "darwin":
        # macOS opens files of this ending in its terminal.
        return Shortcut("unspool.command", f"#!/bin/sh\nexec {shlex.join(program)}\n", True)
    return Shortcut("unspool.desktop", _linux(program), True)


def _windows(program: tuple[str, ...]) -> str:
    words = " ".join(f'"{word}"'.replace("%", "%%") for word in program)
    return f"@chcp 65001 >nul\r\n@{words}\r\n"


def _linux(program: tuple[str, ...]) -> str:
    """Freedesktop's Desktop Entry Specification 1.5, with its rules for quoting in Exec."""
    icon = Path(__file__).parents[1] / "app" / "assets" / "mark.svg"
    lines = (
        "[Desktop Entry]",
        "Type=Application",
        "Name=unspool",
        "Comment=Runs of falling-weight cars",
        f"Exec={' '.join(map(_desktop_word, program))}",
        f"Icon={_desktop_value(str(icon))}",
        "Terminal=true",
        "Categories=Education;Science;",
    )
    return "".join(f"{line}\n" for line in lines)


def _desktop_word(word: str) -> str:
    for special in ("\\", '"', "`", "$"):
        word = word.replace(special, f"\\{special}")
    return _desktop_value('"' + word.replace("%", "%%") + '"')


def _desktop_value(text: str) -> str:
    return text.replace("\\", "\\\\")


def _usual_folder(platform: str) -> Path:
    from platformdirs import user_data_path, user_desktop_path

    if platform in ("win32", "darwin"):
        return user_desktop_path()
    return user_data_path() / "applications"
