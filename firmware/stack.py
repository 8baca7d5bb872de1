"""Bounds the stack of an AVR image: the deepest calls of the main loop, and one interrupt on top.

    python3 stack.py LISTING USAGE...

LISTING is what `avr-objdump -d` prints of the image, each USAGE a file of gcc's -fstack-usage. The
compiler says how much each C function takes, its return address included. The listing says who
calls whom, and what the assembler functions of the libraries push. The sum is an upper bound as
long as nothing calls itself, no call goes through a pointer, and no interrupt lets another one in.
An image in which one of these does not hold is refused.
"""

from __future__ import annotations

import re
import sys
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

RETURN_BYTES = 3  # a return address; on the smaller chips 2
SYMBOL = re.compile(r"^[0-9a-f]+ <([^>]+)>:$")
INSTRUCTION = re.compile(r"^ +[0-9a-f]+:\t[0-9a-f ]+\t(\S+)\s*([^;]*)(?:; .*<([^>+]+).*>)?")
SUFFIX = re.compile(r"((\.lto_priv)?\.\d+)+$")  # what makes a name unique to the linker
ENDS = {"ret", "reti", "jmp", "rjmp"}


class StackError(Exception):
    """The image breaks a rule that the bound rests on."""


class Instruction(NamedTuple):
    mnemonic: str
    operands: str
    target: str  # of a call, jump or branch, else empty

    @property
    def reads_stack_pointer(self) -> bool:
        """As a function does that makes room for local variables."""
        return self.mnemonic == "in" and self.operands.endswith(" 0x3d")


@dataclass
class Function:
    """A function as the listing shows it."""

    name: str
    instructions: list[Instruction] = field(default_factory=list)

    @property
    def interrupt(self) -> bool:
        return self.name.startswith("__vector_")

    def uses(self, *mnemonics: str) -> bool:
        return any(one.mnemonic in mnemonics for one in self.instructions)


def read_usage(lines: Iterable[str]) -> dict[str, int]:
    """Bytes by function, from lines of the form "file:line:column:name  bytes  static"."""
    usage = {}
    for line in lines:
        place, count, kind = line.split("\t")
        name = SUFFIX.sub("", place.rsplit(":", 1)[1])
        if kind.strip() != "static":
            raise StackError(f"{name} takes a stack of a size that is not fixed")
        usage[name] = max(int(count), usage.get(name, 0))
    return usage


def read_listing(text: str, usage: dict[str, int]) -> dict[str, Function]:
    """The functions of a listing by name. A label that nothing calls belongs to what it follows.

    Functions of one name, from different files, become one with the calls of all.
    """
    labels = list(_labels(text))
    steps = (step for one in labels for step in one.instructions)
    called = {step.target for step in steps if "call" in step.mnemonic}
    functions: list[Function] = []
    for one in labels:
        if not functions or one.name in called or one.name in usage or one.interrupt:
            functions.append(one)
        else:
            functions[-1].instructions += one.instructions
    named: dict[str, Function] = {}
    for one in functions:
        named.setdefault(one.name, Function(one.name)).instructions += one.instructions
    return named


def _labels(text: str) -> Iterator[Function]:
    label: Function | None = None
    for line in text.splitlines():
        if match := SYMBOL.match(line):
            if label:
                yield label
            label = Function(SUFFIX.sub("", match[1]))
        elif label and (match := INSTRUCTION.match(line)):
            target = SUFFIX.sub("", match[3] or "")
            label.instructions.append(Instruction(match[1], match[2].strip(), target))
    if label:
        yield label


class Stack:
    """The deepest stack below each function."""

    def __init__(self, functions: dict[str, Function], usage: dict[str, int]) -> None:
        self._functions, self._usage = functions, usage
        self._after = dict(zip(functions, [*list(functions)[1:], ""], strict=True))

    def deepest(self, name: str, callers: tuple[str, ...] = ()) -> list[str]:
        """The chain of calls from `name` on that takes the most."""
        if name in callers:
            raise StackError(f"{name} calls itself")
        function = self._functions[name]
        if function.uses("icall", "ijmp", "eicall", "eijmp"):
            raise StackError(f"{name} calls through a pointer")
        chains = [self.deepest(callee, (*callers, name)) for callee in self._callees(function)]
        return [name, *max(chains, key=self.bytes, default=[])]

    def bytes(self, chain: list[str]) -> int:
        return sum(self._own(self._functions[name]) for name in chain)

    def _callees(self, function: Function) -> set[str]:
        callees = {one.target for one in function.instructions if one.target in self._functions}
        if function.instructions and function.instructions[-1].mnemonic not in ENDS:
            callees.add(self._after[function.name])  # it runs on into the next one
        return callees - {function.name, ""}

    def _own(self, function: Function) -> int:
        if function.name in self._usage:
            return self._usage[function.name]
        if any(one.reads_stack_pointer for one in function.instructions):
            raise StackError(f"the compiler did not say what {function.name} takes")
        return RETURN_BYTES + sum(one.mnemonic == "push" for one in function.instructions)


def bound(listing: str, usage: dict[str, int]) -> tuple[int, list[str], list[str]]:
    """The bound in bytes, and the chains of main and of the deepest interrupt."""
    functions = read_listing(listing, usage)
    interrupts = [one for one in functions.values() if one.interrupt]
    for one in interrupts:
        if one.uses("sei"):
            raise StackError(f"{one.name} lets other interrupts in")
    stack = Stack(functions, usage)
    main = stack.deepest("main")
    chains = [stack.deepest(one.name) for one in interrupts]
    interrupt = max(chains, key=stack.bytes, default=[])
    return stack.bytes(main) + stack.bytes(interrupt), main, interrupt


def main() -> None:
    listing, *usages = (Path(name) for name in sys.argv[1:])
    lines = (line for path in usages for line in path.read_text().splitlines())
    try:
        total, calls, interrupt = bound(listing.read_text(), read_usage(lines))
    except StackError as error:
        raise SystemExit(f"The stack has no bound: {error}.") from None
    print(f"stack bound_bytes {total}")
    print(f"stack chain {' > '.join(calls)}, interrupted by {' > '.join(interrupt)}")


if __name__ == "__main__":
    main()
