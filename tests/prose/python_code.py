"""The sentences of a Python file: docstrings, comments and the texts that people read."""

from __future__ import annotations

import ast
import io
import re
import tokenize
from collections.abc import Iterator

from prose import markdown
from prose.rules import CODE, Passage, is_sentence

_DIRECTIVE = re.compile(r"#\s*(?:noqa|type:|fmt:|pragma|ruff:|!)")

_Documented = ast.Module | ast.ClassDef | ast.FunctionDef | ast.AsyncFunctionDef


def passages(source: str, *, with_texts: bool) -> Iterator[Passage]:
    """Docstrings and comments, and with_texts the string literals that hold a sentence."""
    tree = ast.parse(source)
    docstrings = {id(node.value) for node in _docstrings(tree)}
    for node in _docstrings(tree):
        yield from _docstring(node)
    yield from _comments(source)
    if with_texts:
        yield from _texts(tree, docstrings)


def _docstrings(tree: ast.Module) -> Iterator[ast.Expr]:
    for node in ast.walk(tree):
        if isinstance(node, _Documented) and ast.get_docstring(node, clean=False) is not None:
            first = node.body[0]
            assert isinstance(first, ast.Expr)
            yield first


def _docstring(node: ast.Expr) -> Iterator[Passage]:
    """Its paragraphs. An indented one is code, as in Markdown; one that starts with >>> also."""
    assert isinstance(node.value, ast.Constant)
    text = re.sub(
        r"^>>> [\s\S]*?(?:\n\s*\n|\Z)", "\n", _dedented(node.value.value), flags=re.MULTILINE
    )
    for passage in markdown.passages(text):
        yield Passage(node.lineno + passage.line - 1, passage.text)


def _dedented(docstring: str) -> str:
    """Without the margin that every line but the first has; lines keep their numbers."""
    first, *rest = docstring.split("\n")
    margin = min((len(line) - len(line.lstrip()) for line in rest if line.strip()), default=0)
    return "\n".join([first.lstrip(), *(line[margin:] for line in rest)])


def _comments(source: str) -> Iterator[Passage]:
    """Comments; lines that follow each other are one passage."""
    start, last, words = 0, -1, list[str]()
    for token in tokenize.generate_tokens(io.StringIO(source).readline):
        if token.type != tokenize.COMMENT or _DIRECTIVE.match(token.string):
            continue
        line, alone = token.start[0], not token.line[: token.start[1]].strip()
        if words and not (alone and line == last + 1):
            yield Passage(start, _plain(" ".join(words)))
            words = []
        start = start if words else line
        words.append(token.string.lstrip("#").strip())
        last = line if alone else -1
    if words:
        yield Passage(start, _plain(" ".join(words)))


def _texts(tree: ast.Module, docstrings: set[int]) -> Iterator[Passage]:
    inside = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in node.values
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str):
            if id(node) not in docstrings and id(node) not in inside:
                yield from _text(node.lineno, node.value)
        elif isinstance(node, ast.JoinedStr):
            parts = (str(p.value) if isinstance(p, ast.Constant) else CODE for p in node.values)
            yield from _text(node.lineno, "".join(parts))


def _text(line: int, text: str) -> Iterator[Passage]:
    if is_sentence(text):
        yield Passage(line, _plain(text))


def _plain(text: str) -> str:
    return re.sub(r"`[^`]*`", CODE, text)
