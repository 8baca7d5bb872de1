"""What plain English leaves out: words with a plainer one in their place, and long sentences."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

MOST_WORDS = 30  # the rule of the house is 20; this leaves room for a list or a path
CODE = "CODE"  # stands in for names and code within a sentence, and counts as one word

# People and programs can listen. Runs, edges and figures tell nobody anything: they show it.
_LISTENER = (
    r"you|me|us|him|her|people|everybody|anybody|nobody|everyone|anyone|python|ruff|mypy|CODE"
    r"|(?:the|a|an|each|every|another|other|its|your|all) (?:\w+ )?"
    r"(?:user|person|people|reader|builder|caller|board|host|page|browser|operator|program|visitor"
    r"|server|recorder|core|chip|module|guests?|pages|computers?)s?"
)
_CLAUSE = r"(?:it|this|they|the|nothing|none|its|unspool|there|no|both|say|use)"
WORDS = (
    (r"\banew\b", "again"),
    (r"\bbut for\b", "except, without"),
    (r"\bsave for\b", "except"),
    (r"\bwho(?:m)?ever\b", "the person who, anyone who, people who"),
    (r"\bforet(?:old|ells?|elling)\b", "predicted, predict"),
    (r"\bastray\b", "outlier, wrong"),
    (r"\bhardly counts?\b", "was left out, has little weight"),
    (r"\botherwise than\b", "not as, differently from"),
    (
        r"\b(?:is|are|was|were|be|been|being|not|never|only|hardly|best|well|all) told\b",
        "estimated, found, known, said",
    ),
    (r"\btold (?:by|from|apart)\b", "estimated by, separated from"),
    (
        rf"\b(?:tells?|telling|told)\b(?! (?:{_LISTENER})\b)",
        "estimate, find, separate, show, say; or name who is told",
    ),
    (
        r"\b(?:only|except|but|not|none|null|nothing|empty|false|true|zero) where\b",
        "if, when",
    ),
    (rf"^where(?= [^,?]+, {_CLAUSE} [^?]*$)", "if, when"),
    (r"\b(?:lest|nought|whence|thereof|therein|thereby|albeit)\b", "a word that people say"),
)
_ANY_WORD = re.compile(
    "|".join(f"(?P<w{i}>{pattern})" for i, (pattern, _) in enumerate(WORDS)), re.IGNORECASE
)

# A sentence ends at . ! or ? before a space, unless a small letter follows (as after "approx.").
# Our own name begins a sentence small.
_END = re.compile(r"(?<=[.!?])[\"')\]]*\s+(?=[^a-z]|unspool\b)")
_LIST_OF_CODE = re.compile(rf"{CODE}(?:(?:, | and |, and | or |, or |/| ){CODE})+")
_WORD = re.compile(r"[^\W_]")
# Four words of letters in a row of words: a sentence, not a key, a path, a query or a pattern.
_SENTENCE = re.compile(r"(?:[A-Za-z][a-z']*[,;:]? ){3,}[A-Za-z']+")
_NO_SENTENCE = re.compile(r"<[a-z!/]|[{}\\]|^(?:SELECT|INSERT|UPDATE|CREATE|ALTER|DELETE)\b")


@dataclass(frozen=True)
class Passage:
    """Text that belongs together, such as a paragraph, and the line of its file where it starts."""

    line: int
    text: str


@dataclass(frozen=True)
class Offence:
    line: int
    reason: str
    sentence: str


def offences(passage: Passage) -> Iterator[Offence]:
    """What the passage should say in plainer words. Each word is one offence."""
    for sentence in sentences(passage.text):
        for match in _ANY_WORD.finditer(sentence):
            instead = WORDS[int(str(match.lastgroup)[1:])][1]
            yield Offence(passage.line, f'"{match[0]}": write {instead}', sentence)
        words = count_words(sentence)
        if words > MOST_WORDS:
            yield Offence(passage.line, f"{words} words: at most {MOST_WORDS}", sentence)


def is_sentence(text: str) -> bool:
    """Whether a string of a program is meant for people."""
    return bool(_SENTENCE.search(text)) and not _NO_SENTENCE.search(text)


def sentences(text: str) -> list[str]:
    """The sentences of a paragraph, each on one line."""
    return [part for part in _END.split(" ".join(text.split())) if part]


def count_words(sentence: str) -> int:
    """Words of a sentence; code, or a list of code, is one."""
    joined = _LIST_OF_CODE.sub(CODE, sentence)
    return sum(bool(_WORD.search(part)) for part in joined.split())
