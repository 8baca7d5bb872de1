"""Frozen values as bytes: dataclasses of unspool, enums, arrays of numbers and what holds them.

A dataclass is written by the names of its fields, so a new field needs no line here. Nothing but
dataclasses and enums of unspool is made from the bytes, and no code in them is run.

    sha256, then as zlib: length of the tree (4 bytes, little-endian), tree (JSON), arrays

The tree has numbers, text and None as JSON has them, a list for a tuple or a list, and an object
with one short key for all else. Doubles in JSON are exact: Python writes the shortest text that
gives the same double.
"""

from __future__ import annotations

import hashlib
import json
import zlib
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from functools import cache
from importlib import import_module
from types import MappingProxyType
from typing import Any

import numpy as np

_LENGTH = 4  # bytes that say how long the tree is
_FAST = 1  # zlib's level: doubles hardly shrink, and every reading waits for it
_NUMBERS = "biuf"  # kinds of arrays: truth values, integers, floats
_DIGEST = hashlib.sha256().digest_size

Shared = Mapping[str, object]


class DamagedError(Exception):
    """The bytes are not what `encode` made, or not of this version's classes."""


def encode(value: object, shared: Shared = MappingProxyType({})) -> bytes:
    """The value as bytes.

    shared: objects that `decode` will be given again, by name; they are not written. Raises
    TypeError for a value that has no form here.
    """
    packed = zlib.compress(plain(value, shared), _FAST)
    return hashlib.sha256(packed).digest() + packed


def decode(data: bytes, shared: Shared = MappingProxyType({})) -> Any:
    """The value that `encode` was given. Raises DamagedError."""
    digest, packed = data[:_DIGEST], data[_DIGEST:]
    if hashlib.sha256(packed).digest() != digest:
        raise DamagedError("the bytes have changed")
    try:
        content = zlib.decompress(packed)
        end = _LENGTH + int.from_bytes(content[:_LENGTH], "little")
        return _Reader(content[end:], shared).value(json.loads(content[_LENGTH:end]))
    except Exception as error:  # whatever another version's bytes run into
        raise DamagedError(f"{type(error).__name__}: {error}") from error


def plain(value: object, shared: Shared = MappingProxyType({})) -> bytes:
    """The bytes before they are compressed: equal for equal values."""
    writer = _Writer({id(one): name for name, one in shared.items()})
    tree = json.dumps(writer.node(value), separators=(",", ":")).encode()
    return b"".join([len(tree).to_bytes(_LENGTH, "little"), tree, *writer.arrays])


class _Writer:
    def __init__(self, shared: dict[int, str]) -> None:
        self.arrays: list[bytes] = []
        self._shared, self._end = shared, 0

    def node(self, value: object) -> Any:
        if id(value) in self._shared:
            return {"shared": self._shared[id(value)]}
        if isinstance(value, Enum):
            return {"enum": [_name(type(value)), self.node(value.value)]}
        if isinstance(value, (np.ndarray, np.generic)):
            return {"array": self._array(np.asarray(value)), "scalar": np.isscalar(value)}
        if value is None or isinstance(value, (bool, int, float, str)):
            return value
        if isinstance(value, tuple):
            return [self.node(one) for one in value]
        return self._holder(value)

    def _holder(self, value: object) -> Any:
        if isinstance(value, list):
            return {"list": [self.node(one) for one in value]}
        if isinstance(value, Mapping):
            pairs = [[self.node(key), self.node(one)] for key, one in value.items()]
            return {"map": pairs, "frozen": isinstance(value, MappingProxyType)}
        if is_dataclass(value):
            held = {one.name: self.node(getattr(value, one.name)) for one in fields(value)}
            return {"of": _name(type(value)), "has": held}
        raise TypeError(f"a {type(value).__name__} cannot be kept")

    def _array(self, array: np.ndarray) -> list[Any]:
        if array.dtype.kind not in _NUMBERS:
            raise TypeError(f"an array of {array.dtype} cannot be kept")
        raw = np.ascontiguousarray(array).tobytes()
        begin, self._end = self._end, self._end + len(raw)
        self.arrays.append(raw)
        return [array.dtype.str, list(array.shape), begin]


class _Reader:
    def __init__(self, arrays: bytes, shared: Shared) -> None:
        self._arrays, self._shared = arrays, shared

    def value(self, node: Any) -> Any:
        if isinstance(node, list):
            return tuple([self.value(one) for one in node])
        if not isinstance(node, dict):
            return node
        if "of" in node:
            return self._made(_class(node["of"]), node["has"])
        if "array" in node:
            array = self._array(*node["array"])
            return array[()] if node["scalar"] else array
        return self._other(node)

    def _other(self, node: dict[str, Any]) -> Any:
        if "map" in node:
            held = {self.value(key): self.value(one) for key, one in node["map"]}
            return MappingProxyType(held) if node["frozen"] else held
        if "enum" in node:
            name, value = node["enum"]
            return _class(name)(self.value(value))
        if "list" in node:
            return [self.value(one) for one in node["list"]]
        return self._shared[node["shared"]]

    def _made(self, kind: Any, held: dict[str, Any]) -> Any:
        return kind(**{name: self.value(one) for name, one in held.items()})

    def _array(self, dtype: str, shape: list[int], begin: int) -> np.ndarray:
        kind = np.dtype(dtype)
        count = int(np.prod(shape, dtype=np.int64))
        return np.frombuffer(self._arrays, kind, count, begin).reshape(shape).copy()


def _name(kind: type) -> str:
    return f"{kind.__module__}:{kind.__qualname__}"


@cache
def _class(name: str) -> Any:
    module, _, kind = name.partition(":")
    if not module.startswith("unspool."):
        raise TypeError(f"{name} is no class of unspool")
    found = getattr(import_module(module), kind)
    if not (isinstance(found, type) and (is_dataclass(found) or issubclass(found, Enum))):
        raise TypeError(f"{name} is no dataclass and no enum")
    return found
