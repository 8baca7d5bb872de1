"""The stack's bound: it counts the deepest chain and one interrupt, and refuses what has none."""

from __future__ import annotations

import importlib.util
import sys
from types import ModuleType

import pytest

from unspool.instrument.firmware.build import SOURCES

USAGE = ["a.c:1:1:main\t10\tstatic", "a.c:2:1:deep\t20\tstatic", "a.c:3:1:flat\t23\tstatic"]
USAGE += ["a.c:4:1:__vector_1\t7\tstatic", "a.c:5:1:__vector_2\t9\tstatic"]


@pytest.fixture(scope="module")
def stack() -> ModuleType:
    spec = importlib.util.spec_from_file_location("stack", SOURCES / "stack.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["stack"] = module  # where dataclasses look for the names of a module
    spec.loader.exec_module(module)
    return module


def listing(**functions: str) -> str:
    """An image of functions, each with its instructions on one line, separated by strokes."""
    lines = []
    for name, body in functions.items():
        lines.append(f"00000000 <{name}>:")
        lines += [f"   0:\t00 00       \t{one.replace(' ', chr(9), 1)}" for one in body.split("|")]
        lines.append("")
    return "\n".join(lines)


VECTORS = {"__vector_1": "push r1|reti", "__vector_2": "push r1|push r2|reti"}


def bound(stack: ModuleType, usage: list[str], **functions: str) -> int:
    total, _, _ = stack.bound(listing(**functions, **VECTORS), stack.read_usage(usage))
    return int(total)


def test_deepest_chain_and_deepest_interrupt_add_up(stack: ModuleType) -> None:
    """main 10, then deep 20 and a library function of a return address and two pushes; 9 on top."""
    total = bound(
        stack,
        USAGE,
        main="call 0x10 ; 0x10 <flat>|call 0x20 ; 0x20 <deep.lto_priv.3>|ret",
        flat="ret",
        **{"deep.lto_priv.3": "rcall .+8 ; 0x2 <__library>|ret"},
        __library="push r2|push r3|brne .-4 ; 0x4 <__library_loop+0x2>|ret",
        __library_loop="dec r2|ret",
    )
    assert total == 10 + 20 + 3 + 2 + 9


def test_function_that_runs_on_into_the_next_one_counts_it(stack: ModuleType) -> None:
    usage = ["a.c:1:1:main\t10\tstatic", "a.c:2:1:last\t20\tstatic"]
    assert bound(stack, usage, main="nop", last="ret") == 10 + 20 + 5


def test_functions_of_one_name_count_as_the_larger_with_the_calls_of_both(
    stack: ModuleType,
) -> None:
    usage = ["a.c:1:1:main\t10\tstatic", "a.c:2:1:same\t20\tstatic", "b.c:2:1:same\t5\tstatic"]
    functions = {
        "main": "call 0x0 ; 0x0 <same.lto_priv.3>|ret",
        "same": "ret",
        "same.lto_priv.3": "call 0x0 ; 0x0 <__library>|ret",
        "__library": "ret",
    }
    assert bound(stack, usage, **functions) == 10 + 20 + 3 + 5


@pytest.mark.parametrize(
    ("functions", "reason"),
    [
        ({"main": "call 0x0 ; 0x0 <deep>|ret", "deep": "rjmp .-2 ; 0x0 <main>"}, "calls itself"),
        ({"main": "icall|ret"}, "through a pointer"),
        ({"main": "ret", "__vector_3": "sei|reti"}, "lets other interrupts in"),
        (
            {
                "main": "call 0x0 ; 0x0 <secret>|ret",
                "secret": "in r28, 0x3d ; 61|ret",
            },
            "did not say what secret takes",
        ),
    ],
)
def test_image_without_a_bound_is_refused(
    stack: ModuleType, functions: dict[str, str], reason: str
) -> None:
    with pytest.raises(stack.StackError, match=reason):
        bound(stack, USAGE, **functions)


def test_stack_of_no_fixed_size_is_refused(stack: ModuleType) -> None:
    with pytest.raises(stack.StackError, match="not fixed"):
        stack.read_usage(["a.c:1:1:main\t10\tdynamic"])
