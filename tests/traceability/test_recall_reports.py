"""The report of a recall: read back from its PDF, its sheets and its CSV files by readers that are not ours."""

import csv
import io
import zipfile
from random import Random
from typing import Any

import openpyxl
import pypdf
from django.db import transaction
from django.db.models import Q
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from brewery.kernel.queries.seals import last_seal
from brewery.kernel.services.seals import seal_record
from brewery.science.units import format_micro
from inventory.models import Event, Lot
from tests.brewhouse import Brewhouse
from tests.histories import History
from tests.standing import built_once
from tests.traceability.test_holds_in_histories import downstream
from tests.traceability.test_recalls import as_it_stands, opened, settle
from traceability.printing.recall_reports import data_of, report_as_pdf
from traceability.queries.recall_events import events_of
from traceability.queries.recalls import RecallView
from traceability.services.recall_tables import as_csv_files, as_workbook
from traceability.services.recalls import close_recall, decide_class


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


def read(view: RecallView) -> str:
    """Return the words of the PDF, with one blank between them."""
    pages = pypdf.PdfReader(io.BytesIO(report_as_pdf(view))).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def sheets(view: RecallView) -> dict[str, list[dict[str, Any]]]:
    """Return the rows of each sheet by their headings."""
    book = openpyxl.load_workbook(io.BytesIO(as_workbook(view)))
    return {
        sheet.title: [dict(zip(rows[0], row, strict=True)) for row in rows[1:]]
        for sheet in book
        if (rows := list(sheet.iter_rows(values_only=True)))
    }


def test_the_pdf_tells_somebody_outside_everything(house: Brewhouse):
    house.count("KEG1", "COLD", "5 each", hours=410)
    recall = opened(house)
    decide_class(recall=recall, value="II", reason="splinters are small", **house.by("quality"))
    settle(house, recall)
    close_recall(recall=recall, reason="one keg is looked for", **house.by("quality"))
    text = read(as_it_stands(recall))
    for words in (
        f"Report of mock recall {recall.pk}",
        "This is a drill. Nothing was recalled, and nothing was held.",
        "This report is no legal notice and no decision.",
        "authorities and a licensed adviser",
        "glass in the malt",
        "Class II: harm that passes or can be undone",
        "Why: splinters are small",
        "24 h: when records must be with the authority",
        "M1 Pilsner malt Stowfield Maltings",
        "Lot KEG1, Quillmere Lager, 50 L keg:",
        "cannot be accounted for: a count did not find it.",
        "The Heron Inn (INN): reached",
        "the landlord: answered for all of it",
        "Closed, because: one keg is looked for",
        "Drawn up by",
        "The record bears no seal yet",
        "What went into the lots, and what came of them",
        "was delivered",
    ):
        assert words in text, words


def test_what_reconciled_stands_in_the_report_as_it_was_reckoned(house: Brewhouse):
    house.count("KEG1", "COLD", "5 each", hours=410)
    view = as_it_stands(opened(house))
    text, balance = read(view), sheets(view)["Mass balance"]
    sums = {row["unit"]: row for row in balance if row["lot"] == "all lots"}
    assert set(sums) == {one.unit for one in view.reconciled}
    for one in view.reconciled:
        assert f"{one.percent_shown} %" in text
        assert sums[one.unit]["percent"] == float(one.percent_shown)
        assert format_micro(one.made_micro, one.unit) == f"{sums[one.unit]['made']:g}"
    assert {row["lot"]: row["unaccounted"] for row in balance}["KEG1"] == 2


def test_a_recall_in_earnest_says_so_and_up_to_which_seal_the_record_is_sealed(house: Brewhouse):
    recall = opened(house, is_mock=False)
    seal_record()
    view = as_it_stands(recall)
    text, seal = read(view), last_seal()
    assert seal is not None
    for words in (f"Seal number {seal.pk} of", seal.digest, f"The opening of this recall is under seal {seal.pk}."):
        assert words in text
    assert "Written since and not sealed yet: 0." in text
    assert "drill" not in text
    assert f"Hold {recall.hold_id}" in text or f"hold {recall.hold_id}" in text
    late = data_of(as_it_stands(opened(house)))["seal"]
    assert "The opening of this recall is not sealed yet." in late


def test_the_tables_name_what_the_rule_asks_for_and_that_beer_is_not_on_its_list(house: Brewhouse):
    tables = sheets(as_it_stands(opened(house)))
    assert "Beer, malt, hops and yeast are not on the list" in tables["About"][0]["words"]
    events = {(row["critical_tracking_event"], row["traceability_lot_code"]): row for row in tables["Events"]}
    came = events["receiving", "M1"]
    assert (came["from_name"], came["lot_code_given_by"], came["unit"]) == (
        "Stowfield Maltings",
        "Stowfield Maltings",
        "kg",
    )
    went = events["shipping", "KEG1"]
    assert (went["to_name"], went["quantity"], went["reference_document_type"], went["reference_document"]) == (
        "The Heron Inn",
        4,
        "delivery note",
        "S1",
    )
    assert events["receiving: came back", "KEG1"]["from_name"] == "The Heron Inn"
    assert events["transformation: used", "M1"]["is_affected"] == "yes"
    assert events["transformation: used", "H1"]["is_affected"] == "no"
    assert [(row["customer"], row["lot"], row["there"]) for row in tables["Customers"]] == [("INN", "KEG1", 3)]


def test_nothing_that_was_typed_is_run_by_a_spreadsheet_or_read_as_markup(house: Brewhouse):
    house.destroy("KEG1", "COLD", "1 each", hours=400, reason='=HYPERLINK("http://a.example")')
    recall = opened(house)
    decide_class(recall=recall, value="III", reason='#panic("no") $x$ *bold*', **house.by("quality"))
    view = as_it_stands(recall)
    assert '#panic("no") $x$ *bold*' in read(view)
    book = openpyxl.load_workbook(io.BytesIO(as_workbook(view)))
    cells = [cell for sheet in book for row in sheet.iter_rows() for cell in row]
    assert all(cell.data_type != "f" and cell.hyperlink is None for cell in cells)
    packed = zipfile.ZipFile(io.BytesIO(as_csv_files(view)))
    assert packed.namelist() == ["about.csv", "events.csv", "lots.csv", "customers.csv", "mass-balance.csv"]
    events = list(csv.DictReader(io.StringIO(packed.read("events.csv").decode(), newline="")))
    assert [row["reason"] for row in events if row["kind"] == "destruction"] == ['\'=HYPERLINK("http://a.example")']
    assert len(events) == len(sheets(view)["Events"])


@settings(
    max_examples=6,
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.generate,),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32))
def test_every_event_of_what_networkx_reaches_is_a_row(brewhouse: Brewhouse, seed: int):
    with transaction.atomic():
        history = History(brewhouse, Random(seed))
        history.play(18)
        start = history.random.choice(list(Lot.objects.filter(reversed_by=None)))
        view = as_it_stands(opened(brewhouse, start.code))
        reached = downstream(start.pk, {"ingredient", "culture", "carryover"})
        theirs = Event.objects.filter(Q(postings__lot__in=reached) | Q(links__child__in=reached))
        rows = events_of([row.lot for row in view.lots])
        assert {row.event.pk for row in rows} == set(theirs.values_list("pk", flat=True))
        assert {row.lot.pk for row in rows if row.is_affected} == reached
        assert len(sheets(view)["Events"]) == len(rows)
        transaction.set_rollback(True)
