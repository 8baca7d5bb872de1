"""A contest's sheets: no name does harm on them, and each reader's signs stand on paper."""

from __future__ import annotations

import csv
import json
from io import BytesIO, StringIO

from pypdf import PdfReader

from unspool.judging import Judge, Organiser, contest_in, events_in
from unspool.language import in_language
from unspool.render.contest import attempt_sheet, entry_list, log_sheet, results, sheet_csv
from unspool.render.contest.pdf import certificates_pdf, sheet_pdf

FORMULA = ("=", "+", "-", "@", "\t", "\uff1d")
HOSTILE = (
    *("=HYPERLINK(1)", "<b>&amp;<img src=x onerror=1>", "\x1b[2Jx\u202egnp", "@" + "x" * 59),
    *("+1;=2+5", "-1\t=2+5", "\uff1d2+5", "\r=2+5"),
)


def test_hostile_names_run_nothing_on_any_sheet(organiser: Organiser, ada: Judge) -> None:
    names = [f"name = {json.dumps(name)}" for name in HOSTILE]
    settings = [f"[[{kind}]]\n{name}" for kind in ("penalties", "classes") for name in names]
    organiser.set_rules("\n".join([*settings, "weight_max_g = 1"]))
    organiser.rename(HOSTILE[0])
    for name in HOSTILE:
        entry = organiser.enter(name, name, "0.5")
        judge = Judge(ada.store, ada.id, name)
        judge.tape(entry, 1, "5")
        judge.remark(entry, 1, name)
        judge.penalty(entry, 1, name)
        judge.repeat(entry, 1, name)
        judge.tape(entry, 1, "5")
    state = ada.contest
    sheets = (entry_list(state), attempt_sheet(state), results(state))
    for sheet in (*sheets, log_sheet(state, events_in(ada.store, ada.id))):
        text = sheet_csv(sheet)
        assert "\x1b" not in text
        assert "\u202e" not in text
        for sign in (",", ";", "\t"):  # as the reader's language has it
            fields = [one for row in csv.reader(StringIO(text), delimiter=sign) for one in row]
            assert not [one for one in fields if one.lstrip(' "').startswith(FORMULA)]
        assert len(PdfReader(BytesIO(sheet_pdf(sheet))).pages) >= 1
    words = "".join(
        page.extract_text() for page in PdfReader(BytesIO(certificates_pdf(state))).pages
    )
    assert "<img src=x onerror=1>" in words
    assert "First place" in words


def test_rules_longer_than_a_page_are_cut_on_paper_alone(organiser: Organiser) -> None:
    names = [f"penalty {number} {'x' * 45}" for number in range(20)]
    organiser.set_rules("".join(f'[[penalties]]\nname = "{name}"\n' for name in names))
    sheet = log_sheet(organiser.contest, events_in(organiser.store, organiser.id))
    assert all(name in sheet_csv(sheet) for name in names)
    assert names[-1] not in PdfReader(BytesIO(sheet_pdf(sheet))).pages[0].extract_text()


def test_an_empty_contest_has_its_sheets(organiser: Organiser) -> None:
    state = contest_in(organiser.store, organiser.id)
    for sheet in (entry_list(state), attempt_sheet(state), results(state)):
        assert sheet_pdf(sheet) == sheet_pdf(sheet)
        assert len(sheet_csv(sheet).splitlines()) == 1
    assert certificates_pdf(state).startswith(b"%PDF")


def test_paper_has_the_decimal_sign_of_the_reader_and_a_table_has_a_point(
    organiser: Organiser, ada: Judge
) -> None:
    ada.tape(organiser.enter("Reed", "A"), 1, "5,25")
    with in_language("de"):
        sheet = results(organiser.contest)
        page = PdfReader(BytesIO(sheet_pdf(sheet))).pages[0].extract_text()
        table = sheet_csv(sheet)
    assert "5,25" in page
    assert "Platz" in page
    assert "Reed,A,5.25,5.25" in table
