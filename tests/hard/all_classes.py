"""All classes of hard use, in the order in which they are tried."""

from __future__ import annotations

from hard import arguments, files, paths, stores

CLASSES = (*files.CLASSES, *arguments.CLASSES, *paths.CLASSES, *stores.CLASSES)
