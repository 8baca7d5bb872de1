"""Opened: how a part of the store gets a connection of its own, to read or to write."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager

from sqlalchemy import Connection

Opened = Callable[[], AbstractContextManager[Connection]]
