"""Forms of cars and floors: what is typed comes back as faults and a drawing, and is kept."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from fastapi.testclient import TestClient

from app_parts import read_sample
from unspool.app import create_app
from unspool.app.desk import CARS, FLOORS
from unspool.app.drafts import Draft
from unspool.app.live_boards import LiveBoards
from unspool.app.permissions import may_change
from unspool.app.routes import is_page, page_for
from unspool.app.run_cache import RunCache
from unspool.app.studies import Studies
from unspool.car.new_car import NEW_CAR, NEW_FLOOR
from unspool.car.schema import (
    BodyTable,
    DrumTable,
    EncoderTable,
    LevelTable,
    LossesTable,
    PulleyTable,
    StringTable,
    TrackFile,
    WeightTable,
    WheelsTable,
)
from unspool.corrections import this_user
from unspool.errors import StoreError
from unspool.store import Store
from unspool.virtual.demo.scenario import CORRIDOR, SANDPIPER

HOME = "http://127.0.0.1:8437"
CAR = SANDPIPER.read_bytes().decode()


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with Store.open(tmp_path / "s.sqlite") as opened:
        yield opened


@pytest.fixture
def client(store: Store) -> TestClient:
    server = create_app(store, None, read_sample).server
    return TestClient(server, base_url=HOME, client=("127.0.0.1", 5000))


@pytest.fixture
def car(store: Store) -> int:
    """The revision of the demo's car, which is in the store."""
    return store.cars.save(CAR, "Sandpiper", "Adelheid").revision


def words(store: Store, path: str, search: str = "") -> str:
    studies = Studies(RunCache(store, read_sample))
    return str(page_for(path, search, studies, LiveBoards()).body)


def sent(fields: dict[str, str], seen: int = 0, text: str = CAR, **more: Any) -> bytes:
    page = "/cars/Sandpiper"
    body = {"text": text, "base": text, "seen": seen, "page": page, "fields": fields, **more}
    return json.dumps(body).encode()


def test_every_key_of_the_files_has_a_field() -> None:
    tables = {
        "body": BodyTable,
        "weight": WeightTable,
        "string": StringTable,
        "pulley": PulleyTable,
        "wheels.*": WheelsTable,
        "drum.*": DrumTable,
        "encoder": EncoderTable,
        "losses": LossesTable,
    }
    keys = {f"{table}.{key}" for table, model in tables.items() for key in model.model_fields}
    assert set(CARS.fields) == keys | {"name"}
    track = set(TrackFile.model_fields) - {"unspool", "level"}
    assert set(FLOORS.fields) == track | {f"level.*.{key}" for key in LevelTable.model_fields}


def test_while_one_types_faults_weights_and_the_drawing_come_back(client: TestClient) -> None:
    good = client.post("/cars:draft", content=sent({"body.mass_g": "900,5"})).json()
    assert good["faults"] == {}
    assert good["matters"]["body.mass_g"].startswith("10 g more: 0.0")
    assert "% longer" in good["matters"]["wheels.0.rolling_circumference_mm"]
    assert good["picture"].startswith("data:image/svg+xml,")
    assert "15" in good["answer"]
    fields = {"body.mass_g": "0,9", "drum.1.turns": "many", "weight.drop_mm": " "}
    bad = client.post("/cars:draft", content=sent(fields)).json()
    assert set(bad["faults"]) == set(fields)
    assert "write 900" in bad["faults"]["body.mass_g"]
    assert 'found "many"' in bad["faults"]["drum.1.turns"]
    assert "found nothing" in bad["faults"]["weight.drop_mm"]
    assert (bad["picture"], bad["matters"]) == ("", {})
    none = client.post("/cars:draft", content=sent({"wheels.0.driven": ""})).json()
    assert set(none["faults"]) == {"wheels"}


def test_a_car_is_saved_and_only_what_was_typed_changes(
    store: Store, client: TestClient, car: int
) -> None:
    fields = {"body.mass_g": "930", "drum.0.turns": "3,25", "name": "Sandpiper"}
    answer = client.post("/cars:save", content=sent(fields, car))
    assert answer.json() == {"address": "/cars/Sandpiper", "text": "Saved as version 2."}
    kept = store.cars.one("Sandpiper").current
    changed = CAR.replace("mass_g = 910", "mass_g = 930").replace("turns = 3.5", "turns = 3.25")
    assert (kept.text, kept.who) == (changed, this_user())
    page = words(store, "/cars/Sandpiper")
    assert r"Mass ready to run: 930\xa0g, before 910\xa0g" in page
    file = client.get("/cars:version?name=sandpiper&version=1")
    assert file.content == SANDPIPER.read_bytes()
    assert 'filename="sandpiper-1.toml"' in file.headers["content-disposition"]
    assert client.get("/cars:version?name=sandpiper").text == changed
    for query in ("", "?name=x", "?name=Sandpiper&version=9"):
        assert client.get(f"/cars:version{query}").status_code == 404


def test_an_emptied_pulley_is_none(store: Store, client: TestClient, car: int) -> None:
    fields = {"pulley.mass_g": "", "pulley.diameter_mm": ""}
    assert client.post("/cars:save", content=sent(fields, car)).status_code == 200
    assert "pulley" not in store.cars.one("Sandpiper").current.text


def test_what_has_a_fault_is_not_saved(store: Store, client: TestClient, car: int) -> None:
    answer = client.post("/cars:save", content=sent({"body.mass_g": "1"}, car))
    assert (answer.status_code, set(answer.json()["faults"])) == (409, {"body.mass_g"})
    assert len(store.cars.one("Sandpiper").versions) == 1


def test_another_name_is_a_car_of_its_own(store: Store, client: TestClient, car: int) -> None:
    body = sent({"name": "Curlew/2 ä"}, 0)
    address = client.post("/cars:save", content=body).json()["address"]
    assert address == "/cars/Curlew%2F2%20%C3%A4"
    assert "Curlew/2 ä" in words(store, address)
    assert is_page("/cars/Curlew/2 ä")
    assert [one.name for one in store.cars.listed()] == ["Curlew/2 ä", "Sandpiper"]
    again = client.post("/cars:save", content=body)
    assert (again.status_code, "already" in again.text) == (409, True)


def test_the_later_of_two_gets_both_changes_to_look_at(
    store: Store, client: TestClient, car: int
) -> None:
    assert client.post("/cars:save", content=sent({"body.mass_g": "930"}, car)).status_code == 200
    fields = {"weight.mass_g": "600", "body.mass_g": "940"}
    answer = client.post("/cars:save", content=sent(fields, car))
    assert answer.status_code == 409
    found, mass = answer.json(), "Car without the weight, Mass ready to run"
    assert f"{mass}: 930\u00a0g, before 910\u00a0g" in found["text"]
    assert f"You both changed {mass}: yours" in found["text"]
    assert len(store.cars.one("Sandpiper").versions) == 2


@pytest.mark.parametrize("section", ["drum", "wheels"])
def test_a_part_is_added_and_taken_away(client: TestClient, section: str) -> None:
    more = client.post("/cars:shape", content=sent({"body.mass_g": "900"}, section=section))
    address = more.json()["address"]
    assert address.startswith("/cars/Sandpiper?draft=")
    assert address.endswith(f"#{section}")
    less = client.post("/cars:shape", content=sent({}, section=section, remove=1))
    assert less.status_code == 200
    assert (
        client.post("/cars:shape", content=sent({}, section=section, remove=9)).status_code == 409
    )


def test_a_draft_is_shown_until_it_is_saved(store: Store, car: int) -> None:
    studies = Studies(RunCache(store, read_sample))
    name = studies.drafts.put(Draft(CAR, CAR.replace("910", "955"), car))
    page = str(page_for("/cars/Sandpiper", f"?draft={name}", studies, LiveBoards()).body)
    assert "'955'" in page
    gone = str(page_for("/cars/Sandpiper", "?draft=nothing", studies, LiveBoards()).body)
    assert "'910'" in gone


def test_a_new_one_begins_with_plain_sizes_and_a_free_name(store: Store) -> None:
    assert "'My car'" in words(store, "/cars:new")
    store.cars.save(NEW_CAR, "My car", "Ada")
    assert "'My car 2'" in words(store, "/cars:new")
    assert "'My floor'" in words(store, "/floors:new")
    assert CARS.shown(NEW_CAR).faults == FLOORS.shown(NEW_FLOOR).faults == {}


def test_files_come_in_as_they_are(store: Store, client: TestClient) -> None:
    answer = client.post("/cars:file?name=a.toml", content=SANDPIPER.read_bytes())
    assert answer.json()["address"] == "/cars/Sandpiper"
    assert store.cars.one("Sandpiper").current.text == CAR
    assert client.post("/floors:file?name=b.toml", content=CORRIDOR.read_bytes()).status_code == 200
    assert [one.name for one in store.tracks.listed()] == ["Corridor"]
    for path, body, says in (
        ("/cars:file", CORRIDOR.read_bytes(), "is a track file"),
        ("/floors:file", SANDPIPER.read_bytes(), "is a car file"),
        ("/cars:file?name=c", b"\xff\xfe", "is not UTF-8"),
        ("/cars:file?name=c", b"#" * 200_000, "is larger than"),
    ):
        answer = client.post(path, content=body)
        assert (answer.status_code, says in answer.text) == (409, True), answer.text


def test_versions_are_chosen_and_cars_put_away(store: Store, client: TestClient, car: int) -> None:
    client.post("/cars:save", content=sent({"body.mass_g": "930"}, car))
    choose = sent({}, name="Sandpiper", version=1)
    assert client.post("/cars:choose", content=choose).status_code == 200
    assert store.cars.one("Sandpiper").current.number == 1
    assert "'930'" in words(store, "/cars/Sandpiper", "?version=2")
    assert "has no version 9" in words(store, "/cars/Sandpiper", "?version=9")
    away = sent({}, name="Sandpiper")
    assert client.post("/cars:put-away", content=away).status_code == 200
    assert "1 put away" in words(store, "/cars")


@pytest.mark.parametrize(
    "body",
    [
        *(b"", b"[", b"5", b"{}", b"\xff", b"[" * 9000, b'{"text": 5, "fields": {}}'),
        sent({"colour": "red"}),
        sent({"drum.0.turns": 5}),  # type: ignore[dict-item]
        sent({"drum.99999.turns": "5"}),
        sent({"drum.77.turns": "5"}),
        sent({"body.mass_g": "9" * 300}),
        sent({}, text="[["),
        sent({}, text="#" * 200_000),
    ],
)
def test_what_no_form_sends_is_one_sentence(store: Store, client: TestClient, body: bytes) -> None:
    for what in ("draft", "shape", "save", "choose"):
        answer = client.post(f"/cars:{what}", content=body)
        assert answer.status_code in (200, 409)
        assert answer.status_code == 200 or "Traceback" not in answer.text
    assert store.cars.listed() == []


def test_a_store_that_cannot_be_written_says_so(store: Store, client: TestClient, car: int) -> None:
    store._unwritable = StoreError("the disk that holds the store is full")
    for what, body in (
        ("save", sent({"body.mass_g": "930"}, car)),
        ("put-away", sent({}, name="Sandpiper")),
        ("file", CAR.replace("910", "920").encode()),
    ):
        answer = client.post(f"/cars:{what}", content=body)
        assert answer.status_code == 500
        assert answer.text == "Not saved: the disk that holds the store is full."


def test_a_guest_looks_on(store: Store, car: int) -> None:
    token = may_change.set(False)
    try:
        pages = [words(store, path) for path in ("/cars", "/cars/Sandpiper")]
    finally:
        may_change.reset(token)
    assert "data-desk=" not in "".join(pages)
    assert "'data-desk': 'save'" not in pages[1]
    assert "Adelheid" not in pages[1]
    assert "Give the PIN" in pages[1]


def test_no_car_of_that_name(store: Store) -> None:
    assert "There is no car of that name" in words(store, "/cars/Nobody")
    assert str(store.place) not in words(store, "/cars/Nobody")
    assert [is_page(path) for path in ("/cars", "/cars/", "/cars:new", "/cars:old")] == [
        *(True, True, True, False)
    ]


@pytest.mark.parametrize(
    ("path", "typed", "says"),
    [
        ("weight.mass_g", "0", "found 0 g, expected a mass from 5 to 50000 g"),
        ("weight.mass_g", "abc", 'found "abc", expected a mass from 5 to 50000 g'),
        ("weight.drop_mm", "1e9", "found 1000000000 mm, expected a length from 20 to 10000 mm"),
        ("losses.drive_efficiency", "1,5", "found 1.5, expected a share from 0.05 to 1"),
    ],
)
def test_a_fault_has_its_unit_and_ordinary_figures(path: str, typed: str, says: str) -> None:
    text = SANDPIPER.read_text()
    shown = CARS.shown(CARS.typed(text, {path: typed}))
    assert shown.faults[path].replace("\u00a0", " ") == says


def test_a_fault_names_no_table_of_the_file() -> None:
    text = SANDPIPER.read_text()
    faults = CARS.shown(CARS.typed(text, {"drum.0.turns": "1e6"})).faults
    assert not re.search(r"\[|e\+", " ".join(faults.values()))
