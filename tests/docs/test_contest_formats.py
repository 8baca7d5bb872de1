"""What docs/formats.md says of a contest: its rules can be read, its codes are all there."""

from __future__ import annotations

from docs.test_formats import examples, table_after, values_of
from render.words.test_contest import FINDINGS
from unspool.contest import ContestCode, Rules, parse_rules


def test_the_example_of_rules_can_be_read_and_names_each_key() -> None:
    (text,) = [one for one in examples("toml") if "unspool_rules" in one]
    rules = parse_rules(text, "docs/formats.md")
    assert (rules.attempts, rules.counted, len(rules.classes)) == (3, 2, 2)
    assert all(key in text for key in Rules.model_fields)


def test_the_page_lists_what_judges_should_look_at() -> None:
    page = table_after("What the judges of a contest should look at:")
    assert set(page) == set(ContestCode)
    assert page == values_of(FINDINGS)
