"""Who noted something, as the judge's page says it. The log keeps whose PIN it was, too."""

from __future__ import annotations

import re

from unspool.language import _

_WITH_PIN = re.compile(
    r"(?:(?P<name>.+) \()?with the PIN of (?:the \w+|a \w+|\w+ (?P<kept>.+)), from [^ ()]+\)?",
    re.DOTALL,
)


def person_words(who: str) -> str:
    """The name alone if the PIN is kept for it: with one of the sharing any name can be typed."""
    found = _WITH_PIN.fullmatch(who)
    if not found:
        return who
    if found["kept"]:
        return found["kept"]
    if found["name"]:
        return _("{name}, with a PIN of the sharing", name=found["name"])
    return _("somebody with a PIN of the sharing")
