"""The prose check itself: what it reads of a file, what it calls an offence, and its ratchet."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pytest

from prose import c_code, markdown, python_code
from prose.__main__ import main
from prose.files import checked_files, file_offences
from prose.ratchet import lowered, read_allowed, slack, too_many
from prose.rules import MOST_WORDS, Passage, count_words, offences, sentences

PYTHON = '''"""The runs tell the rate.

    this code tells nothing

>>> tells(1)
"tells"

Again, `tell` it.
"""

# The first line
# of a comment.
x = 1  # beside code

LOCAL = "a text with several words"
OTHER = f"the part {x} has four words"
QUERY = "SELECT all of the rows"
'''


def _texts(found: Iterable[Passage]) -> list[str]:
    return [" ".join(passage.text.split()) for passage in found]


@pytest.mark.parametrize(
    ("sentence", "found"),
    [
        ("The runs tell the sum.", 1),
        ("This is told by the runs.", 1),
        ("The terminal tells you the address.", 0),
        ("The page tells the user what to do.", 0),
        ("It tells a launch from a push.", 1),
        ("The sum is wound anew, but for the last tier.", 2),
        ("Whoever holds the PIN foretold it.", 2),
        ("None where nothing was measured.", 1),
        ("Where the file leaves it out, unspool takes a handbook value.", 1),
        ("Where is the board, and where is the cable?", 0),
        ("A sensor sits where the slots pass.", 0),
    ],
)
def test_each_word_is_an_offence(sentence: str, found: int) -> None:
    assert len(list(offences(Passage(1, sentence)))) == found


def test_a_long_sentence_is_an_offence() -> None:
    assert list(offences(Passage(1, "word " * MOST_WORDS + "."))) == []
    assert len(list(offences(Passage(7, "word " * (MOST_WORDS + 1) + ".")))) == 1


def test_a_list_of_code_is_one_word() -> None:
    assert count_words("Keys are CODE, CODE, CODE and CODE.") == 3


def test_sentences_end_at_a_stop_before_a_capital() -> None:
    assert sentences("One. unspool begins small.") == ["One.", "unspool begins small."]
    assert sentences("One is 0.5 mm. Two (as ever). Three approx. four!") == [
        "One is 0.5 mm.",
        "Two (as ever).",
        "Three approx. four!",
    ]


def test_a_page_gives_its_text_and_not_its_code() -> None:
    page = (
        "# Head `x`\n\nA [link](a/b.md) in\na line.\n\n    code tells\n\n"
        "- item one\n\n      code again\n\n| a | b |\n|---|---|\n| c | `d` |\n"
    )
    found = list(markdown.passages(page))
    assert [passage.text for passage in found] == [
        "Head CODE",
        "A link in a line.",
        "item one",
        "a",
        "b",
        "c",
        "CODE",
    ]
    assert found[1].line == 3


def test_python_gives_docstrings_and_comments() -> None:
    found = _texts(python_code.passages(PYTHON, with_texts=False))
    assert found == [
        "The runs tell the rate.",
        "Again, CODE it.",
        "The first line of a comment.",
        "beside code",
    ]


def test_python_gives_texts_of_a_sentence_form() -> None:
    plain = _texts(python_code.passages(PYTHON, with_texts=False))
    found = _texts(python_code.passages(PYTHON, with_texts=True))
    assert sorted(set(found) - set(plain)) == [
        "a text with several words",
        "the part CODE has four words",
    ]


def test_c_gives_comments_and_not_strings() -> None:
    source = '/* One\n * two. */\nchar *s = "/* no */"; // three\n// four\n'
    found = list(c_code.passages(source))
    assert _texts(found) == ["One two.", "three four"]
    assert [passage.line for passage in found] == [1, 3]


def test_a_script_gives_its_texts_too() -> None:
    source = 'say("Not saved: try another one.", `ws://${host}/x`); // why\nconst KEY = "n";\n'
    assert _texts(c_code.passages(source, with_texts=True)) == [
        "Not saved: try another one.",
        "why",
    ]


def test_numbers_only_fall() -> None:
    allowed = read_allowed("3 a.py\n2 b.py\n1 gone.py\n")
    found = {"a.py": 1, "b.py": 4, "new.py": 1, "clean.py": 0}
    assert too_many(found, allowed) == ["b.py", "new.py"]
    assert slack(found, allowed) == ["a.py", "gone.py"]
    assert lowered(found, allowed) == "1 a.py\n2 b.py\n"


def test_the_package_is_read_with_its_texts(tmp_path: Path) -> None:
    for folder in ("host", "tests"):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / "one.py").write_text('SAID = "the runs tell the sum"\n')
    found = {path.parent.name: file_offences(path, tmp_path) for path in checked_files(tmp_path)}
    assert [len(found["host"]), len(found["tests"])] == [1, 0]


def test_it_fails_when_a_file_got_worse(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    page = tmp_path / "page.md"
    page.write_text("The runs tell the sum.\n")
    listed = tmp_path / "allowed.txt"
    monkeypatch.setattr("sys.argv", ["prose"])
    monkeypatch.setattr("prose.__main__.ROOT", tmp_path)
    monkeypatch.setattr("prose.__main__.ALLOWED", listed)
    monkeypatch.setattr("prose.__main__.checked_files", lambda: [page])
    listed.write_text("")
    assert main() == 1
    assert "page.md:1" in capsys.readouterr().out
    listed.write_text("1 page.md\n")
    assert main() == 0
