"""Rules as TOML: read with all faults at once, and written so that they can be read again."""

from __future__ import annotations

import tomlkit
from pydantic import ValidationError

from unspool.car.faults import schema_faults
from unspool.car.toml_source import parse_toml
from unspool.contest.rules import VERSION, Rules
from unspool.errors import Fault, InputError, all_faults
from unspool.language import _, later

_TOGETHER = {
    "drop_worst": (
        later("as many as there are attempts, or more"),
        later("fewer than the attempts"),
    ),
    "mark_m": (later("nothing"), later("metres to the mark, which a time needs")),
    "name": (later("the same name twice"), later("another name for each penalty and each class")),
}


def parse_rules(text: str, source: str) -> Rules:
    """Raises InputError with every fault of the text."""
    given = parse_toml(text, source)
    version = given.get("unspool_rules")
    if isinstance(version, int) and version > VERSION:
        raise InputError(
            _(
                "{source}: these rules are of a newer unspool (form {version}, this one knows"
                " {known}); update unspool",
                source=source,
                version=version,
                known=VERSION,
            )
        )
    try:
        return Rules.model_validate(given)
    except ValidationError as error:
        raise all_faults(source, _faults(error)) from error


def _faults(error: ValidationError) -> list[Fault]:
    (first, *_others) = error.errors()
    if first["type"] == "value_error":
        where = str(first["ctx"]["error"])
        return [Fault(where, *map(_, _TOGETHER[where]))]
    return schema_faults(error, Rules)


def rules_toml(rules: Rules) -> str:
    """The text; `parse_rules` gives the same rules back."""
    return tomlkit.dumps(rules.model_dump(mode="json", exclude_none=True))
