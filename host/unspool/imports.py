"""Files that come into the store: an edge file with its car, or a bundle that says all itself."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from unspool.bundle import LARGEST_BUNDLE_BYTES, is_bundle, read_bundle
from unspool.car import OfRun, parse_car, parse_track
from unspool.corrections import refuse_impossible
from unspool.errors import InputError
from unspool.language import _
from unspool.reading.edges.edge_file import parse_edges
from unspool.store import Field, Imported, Said, Store


@dataclass(frozen=True)
class EdgeFileOf:
    """What is known of the run of an edge file: the texts of car and track, and what is said.

    The sources name these texts in errors.
    """

    car_text: str
    track_text: str | None = None
    said: Mapping[Field, Said] = field(default_factory=dict)
    car_source: str = "the car"
    track_source: str = "the track"

    def refuse_impossible(self) -> None:
        """Raises InputError if the car, the track or a value cannot be."""
        weight, wheel = (self.said.get(f) for f in (Field.WEIGHT_G, Field.CIRCUMFERENCE_MM))
        of_run = OfRun(*(one if isinstance(one, float) else None for one in (weight, wheel)))
        parse_car(self.car_text, self.car_source, of_run)
        if self.track_text is not None:
            parse_track(self.track_text, self.track_source)
        refuse_impossible(self.said)


def read_any(path: Path) -> bytes:
    """The bytes of a file that may be either. Raises InputError if there are none to be had."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BUNDLE_BYTES + 1)
    except OSError as error:
        raise InputError(
            _("{path}: cannot be read: {reason}", path=path, reason=error.strerror or error)
        ) from error
    except ValueError as error:  # a NUL in the path
        raise InputError(_("{path}: is no path of a file", path=path)) from error


def import_bundle(store: Store, data: bytes, name: str) -> list[Imported]:
    """Adds the runs of a bundle that the store does not have. Raises InputError."""
    return store.add_carried(read_bundle(data, name))


def import_edges(store: Store, data: bytes, name: str, known: EdgeFileOf, who: str) -> Imported:
    """Adds the run of an edge file. Raises InputError for a file or a value that cannot be used."""
    train = parse_edges(data, name)
    known.refuse_impossible()
    return store.add_import(
        train, known.car_text, known.track_text, source=name, said=known.said, who=who
    )


def import_file(
    store: Store, data: bytes, name: str, known: EdgeFileOf | None, who: str
) -> list[Imported]:
    """Adds what is in either kind of file; `known` is for an edge file alone.

    Raises InputError, also for an edge file without a car.
    """
    if is_bundle(data):
        return import_bundle(store, data, name)
    if known is None:
        parse_edges(data, name)  # a file of another kind is refused as such
        raise InputError(
            _("{name}: an edge file does not say which car ran; choose the car first", name=name)
        )
    return [import_edges(store, data, name, known, who)]
