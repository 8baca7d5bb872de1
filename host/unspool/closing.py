"""Closing: what is open until its `with` ends."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Self


class Closing(ABC):
    """`with` closes it, whatever happened inside."""

    @abstractmethod
    def close(self) -> None: ...

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_error: object) -> None:
        self.close()
