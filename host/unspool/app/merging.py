"""Two changes of one car or floor: what the later one shows of the earlier."""

from __future__ import annotations

from dataclasses import dataclass

from unspool.car.changes import changes_between
from unspool.car.editing import Value, edited, value_at
from unspool.car.toml_source import Table, parse_toml
from unspool.language import _
from unspool.render.words.changes import Fields, change_words, place_words
from unspool.render.words.values import in_a_row
from unspool.render.words.versions import ORDER_ONLY
from unspool.shelved import Version


@dataclass(frozen=True)
class Merged:
    """text: theirs with what I changed, or mine alone if the two have other lists of parts.

    theirs: what they changed, in words. both: what both changed, each to its own value.
    """

    text: str
    theirs: tuple[str, ...]
    both: tuple[str, ...]

    def words(self, version: Version) -> str:
        """For the one who saves later."""
        said = [
            _(
                "Not saved yet: {who} saved version {number} meanwhile ({what}).",
                who=version.who or _("somebody"),
                number=version.number,
                what=in_a_row(self.theirs) or _(ORDER_ONLY),
            )
        ]
        if self.both:
            keys = ", ".join(self.both)
            said.append(_("You both changed {keys}: yours is kept here.", keys=keys))
        said.append(_("The form now has both changes: look at them, and save again."))
        return " ".join(said)


def merged(base: str, mine: str, theirs: str, fields: Fields) -> Merged:
    """base: the text that both began with. fields: of the form, by their paths."""
    before, i, they = (dict(_values(parse_toml(t, _("the file")))) for t in (base, mine, theirs))
    my = {path: i.get(path) for path in {**before, **i} if before.get(path) != i.get(path)}
    their = {path for path in {**before, **they} if before.get(path) != they.get(path)}
    clash = tuple(path for path in my if path in their and i.get(path) != they.get(path))
    words = tuple(change_words(change, fields) for change in changes_between(base, theirs))
    alike = {tuple(_lists(parse_toml(t, _("the file")))) for t in (base, mine, theirs)}
    text = edited(theirs, my) if len(alike) == 1 else mine
    both = tuple(
        place_words(_named(path, parse_toml(mine, _("the file"))), fields) for path in clash
    )
    return Merged(text, words, both)


def _named(path: str, raw: Table) -> str:
    """`drum.start.turns` of `drum.0.turns`, as changes call it."""
    section, _point, rest = path.partition(".")
    number, _point, key = rest.partition(".")
    if not key:
        return path
    name = value_at(raw, f"{section}.{number}.name") or int(number) + 1
    return f"{section}.{name}.{key}"


def _values(raw: Table) -> list[tuple[str, Value]]:
    """Every value by its path in the file, as `editing` takes it."""
    found: list[tuple[str, Value]] = []
    for key, value in raw.items():
        if isinstance(value, list):
            inner = [(f"{key}.{i}", one) for i, one in enumerate(value)]
        else:
            inner = [(key, value)]
        for path, one in inner:
            keys = [f"{path}.{k}" for k in one] if isinstance(one, dict) else [path]
            known = ((k, value_at(raw, k)) for k in keys)
            found += [(k, v) for k, v in known if v is not None]
    return found


def _lists(raw: Table) -> list[tuple[str, int]]:
    """How long each list of tables is."""
    return [(key, len(value)) for key, value in sorted(raw.items()) if isinstance(value, list)]
