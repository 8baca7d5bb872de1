"""A sentence for a wrong command line."""

from __future__ import annotations

import re

from typer import TyperException

_NO_COMMAND = re.compile(r"No such command '(?P<name>.*?)'")
_EXTRA = re.compile(r"Got unexpected extra arguments?(?:\(s\))? \((?P<rest>.*)\)")

_EXPECTED = (
    (re.compile(r"valid integer"), "takes a whole number"),
    (re.compile(r"valid number"), "takes a number"),
    (re.compile(r"greater than or equal to (\S+)"), "takes a number of at least {0}"),
    (re.compile(r"less than or equal to (\S+)"), "takes a number of at most {0}"),
    (re.compile(r"'(.*)' is not one of (.*?)\.?$"), "takes one of {1}, not '{0}'"),
)


def sentence(error: TyperException) -> str:
    """What is wrong with the command line, and where its help is."""
    context = getattr(error, "ctx", None)
    command = context.command_path if context else "unspool"
    return f'{_what(error)}; "{command} --help" shows what it takes.'


def _what(error: TyperException) -> str:
    kind = type(error).__name__
    if kind == "NoSuchOption":
        near = getattr(error, "possibilities", None)
        hint = f" (did you mean {' or '.join(sorted(near))}?)" if near else ""
        return f"there is no option {getattr(error, 'option_name', '')} here{hint}"
    if kind == "MissingParameter":
        return f"{_parameter(error)} is missing"
    message = " ".join(error.format_message().split()).rstrip(".")
    if match := _NO_COMMAND.search(message):
        return f"there is no command {match['name']}{_near(message)}"
    if match := _EXTRA.search(message):
        return f"this is one argument too many: {match['rest']}"
    if parameter := _parameter(error):
        # Our own bounds say it as a fault of a file does.
        if error.message.startswith("found "):
            return f"{parameter}: {error.message}"
        return f"{parameter} {_expectation(error.message)}"
    return message


def _expectation(message: str) -> str:
    """The library's reason in our words, or in its own if we have none for it."""
    for pattern, words in _EXPECTED:
        if match := pattern.search(message):
            return words.format(*match.groups())
    return f"cannot be used: {message.rstrip('.')}"


def _near(message: str) -> str:
    names = re.findall(r"'([^']*)'", message)[1:]
    return f" (did you mean {' or '.join(names)}?)" if names else ""


def _parameter(error: TyperException) -> str:
    """`--outer-mm` for an option, `RUN` for an argument, "" if the error names none."""
    parameter = getattr(error, "param", None)
    if parameter is None:
        return ""
    options = [name for name in parameter.opts if name.startswith("--")]
    return str(options[0] if options else parameter.metavar or parameter.name.upper())
