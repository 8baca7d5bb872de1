"""Files of several runs: tables of their motion, their edge files, and bundles."""

from __future__ import annotations

from collections.abc import Callable
from io import BytesIO
from zipfile import ZIP_DEFLATED, ZipFile

from fastapi import FastAPI, Request, Response

from unspool.app.downloads import attachment, or_error
from unspool.app.run_cache import RunCache
from unspool.bundle import MOST_RUNS, bundle_bytes
from unspool.errors import InputError
from unspool.language import _
from unspool.reading.edges.edge_file import edge_text
from unspool.reading.motion import Motion
from unspool.render.tables import motion_csv, motion_parquet
from unspool.store import Store

MOST_TABLE_RUNS = 200  # each has some hundred rows, and takes a moment to read


def serve_exports(server: FastAPI, store: Store, runs: RunCache) -> None:
    """Adds the files. Each takes the ids of its runs as `run` in its query, once for each."""

    def bundle(ids: list[str]) -> Response:
        carried = [store.carry(run) for run in _asked(ids, MOST_RUNS)]
        return attachment(bundle_bytes(carried), _name(ids, "zip"), "application/zip")

    def table(ids: list[str]) -> Response:
        return attachment(motion_csv(motions(ids)), _name(ids, "csv", "-motion"), "text/csv")

    def parquet(ids: list[str]) -> Response:
        kind, name = "application/vnd.apache.parquet", _name(ids, "parquet", "-motion")
        return attachment(motion_parquet(motions(ids)), name, kind)

    def edges(ids: list[str]) -> Response:
        texts = {run: edge_text(store.run(run).train) for run in _asked(ids, MOST_RUNS)}
        return attachment(_edge_files(texts), _name(ids, "zip", "-edges"), "application/zip")

    def motions(ids: list[str]) -> dict[str, Motion]:
        return {run: runs.motion(runs.stored(run)) for run in _asked(ids, MOST_TABLE_RUNS)}

    _add(server, "/bundle.zip", bundle)
    _add(server, "/edges.zip", edges)
    _add(server, "/motion.csv", table)
    _add(server, "/motion.parquet", parquet)


def _add(server: FastAPI, path: str, make: Callable[[list[str]], Response]) -> None:
    async def answer(request: Request) -> Response:
        ids = request.query_params.getlist("run")
        return await or_error(lambda: make(ids))

    server.add_api_route(path, answer, methods=["GET"])


def _edge_files(texts: dict[str, str]) -> bytes:
    """An archive with the edge file of each run."""
    made = BytesIO()
    with ZipFile(made, "w", ZIP_DEFLATED) as archive:
        for run, text in texts.items():
            archive.writestr(f"unspool-run-{run}.csv", text)
    return made.getvalue()


def _asked(ids: list[str], most: int) -> list[str]:
    found = list(dict.fromkeys(ids))
    if not 0 < len(found) <= most:
        raise InputError(
            _("choose 1 to {most} attempts; {count} were asked for", most=most, count=len(found))
        )
    return found


def _name(ids: list[str], ending: str, kind: str = "") -> str:
    """The store knows the runs by now, so their ids consist of digits."""
    alone = len(set(ids)) == 1
    return f"unspool-run-{ids[0]}{kind}.{ending}" if alone else f"unspool-runs{kind}.{ending}"
