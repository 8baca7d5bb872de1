"""All classes of hard use, in the order in which they are tried."""

from __future__ import annotations

from hard import app_requests, arguments, files, killed, paths, reading_stores, starts, stores
from hard.recording import guests, hosts, lines, signals

CLASSES = (
    *files.CLASSES,
    *arguments.CLASSES,
    *paths.CLASSES,
    *stores.CLASSES,
    *reading_stores.CLASSES,
    *starts.CLASSES,
    *signals.CLASSES,
    *lines.CLASSES,
    *hosts.CLASSES,
    *app_requests.CLASSES,
    *guests.CLASSES,
    *killed.CLASSES,
)
