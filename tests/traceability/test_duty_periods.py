"""Duty periods: what keeps one open, what a closed one keeps, what comes late, and the archive that proves itself."""

import csv
import hashlib
import io
import json
import re
import subprocess
import zipfile
from datetime import date
from decimal import Decimal
from uuid import UUID

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import Error, transaction

from brewery.kernel.database.refusals import broken_rule
from brewery.kernel.errors import InvalidInput
from brewery.kernel.queries.seals import broken
from brewery.kernel.services.seals import seal_record
from brewery.science.duty.known import SCHEMES
from brewery.science.duty.schemes import LateEntry
from inventory.models import Event
from inventory.queries.usage import Period
from inventory.services.certificates import Measured, enter_certificate
from tests.api.client import Api, problem_of
from tests.brewhouse import Brewhouse, at
from tests.ledger import refused
from tests.standing import built_once
from traceability.models import DutyClosing
from traceability.queries.duty_archive import archive_of
from traceability.queries.duty_periods import late_postings, missing_for, record_under
from traceability.queries.duty_record import litres, totals
from traceability.services.duty import PeriodIsClosed, tell_purpose, tell_standing
from traceability.services.duty_periods import (
    AlreadyClosed,
    NotAmended,
    PeriodNotReady,
    amend_period,
    close_period,
)

MARCH, APRIL = (date(2026, 3, 1), date(2026, 3, 31)), (date(2026, 4, 1), date(2026, 4, 30))
KEY = UUID("5b0b0f9c-5a2e-4a55-8a47-0b1d3f1f6d10")

pytestmark = pytest.mark.django_db


def measure(house: Brewhouse) -> None:
    """The kegs' alcohol is on a certificate."""
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1")]
    told = {"issued_on": date(2026, 3, 16), **house.by("quality")}
    enter_certificate(lot=house.lot("KEG1"), values=values, **told)


def close(house: Brewhouse, days: tuple[date, date] = MARCH, scheme: str = "us") -> DutyClosing:
    return close_period(scheme=scheme, first=days[0], last=days[1], **house.by("accounting"))


@built_once
def measured(brewhouse: Brewhouse) -> Brewhouse:
    """The whole chain, its kegs measured."""
    brewhouse.whole_chain()
    measure(brewhouse)
    return brewhouse


def test_a_period_stays_open_while_a_lot_that_left_bond_is_not_measured(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    sentence = (
        "2026-03-01 to 2026-03-31 cannot be closed: "
        "No measured alcohol, with method and day, of lots that duty is reckoned on: KEG1."
    )
    with refused(PeriodNotReady, sentence, field="first"):
        close(brewhouse)
    measure(brewhouse)
    assert [one.words for one in missing_for("us", Period(*MARCH)) if one.must] == []
    assert close(brewhouse).record["strengths"][0]["method"] == "EBC 9.2.1"


def test_what_is_no_period_of_the_scheme_is_not_closed(brewhouse: Brewhouse):
    with pytest.raises(InvalidInput, match="a period is a month or a quarter"):
        close(brewhouse, (date(2026, 3, 1), date(2026, 3, 30)))
    with pytest.raises(InvalidInput, match="It is one of us, us_short"):
        close(brewhouse, scheme="atlantis")
    with pytest.raises(PeriodNotReady, match="is not over yet"):
        close(brewhouse, (date(2199, 3, 1), date(2199, 3, 31)))
    assert not DutyClosing.objects.exists()


def test_what_comes_late_stands_apart_in_the_next_period_and_the_closed_one_is_as_it_was(measured: Brewhouse):
    closing = close(measured)
    measured.destroy("KEG1", "COLD", "2 each", hours=350)
    assert [(row.lot.code, row.event.kind) for row in late_postings(closing)] == [("KEG1", "destroy")]
    april = totals(record_under("us", Period(*APRIL)))
    assert {name: litres(pico) for name, pico in april.items() if pico} == {
        "opening": "815",
        "late": "-100",
        "closing": "715",
    }
    kept = DutyClosing.objects.get(pk=closing.pk).record
    assert sum(Decimal(row["closing_l"]) for row in kept["rows"]) == 815
    close(measured, APRIL)
    may = totals(record_under("us", Period(date(2026, 5, 1), date(2026, 5, 31))))
    assert (litres(may["opening"]), may["late"]) == ("715", 0)


def test_periods_are_closed_once_and_one_after_the_other(measured: Brewhouse):
    told = {"scheme": "us", "first": MARCH[0], "last": MARCH[1], "actor": measured.people["accounting"]}
    first = close_period(**told, request_id=KEY)
    assert close_period(**told, request_id=KEY) == first
    with refused(AlreadyClosed, "2026-03-01 to 2026-03-31 was closed under us already.", field="first"):
        close(measured)
    with pytest.raises(PeriodNotReady, match="The last closed period ends on 2026-03-31: close the one that follows"):
        close(measured, (date(2026, 5, 1), date(2026, 5, 31)))


def test_what_duty_was_told_of_a_closed_period_stays(measured: Brewhouse):
    close(measured)
    shipment = Event.objects.get(kind="ship")
    with pytest.raises(PeriodIsClosed, match="closed under us: 2026-03-01 to 2026-03-31"):
        tell_purpose(event=shipment, purpose="export", **measured.by("accounting"))
    with pytest.raises(PeriodIsClosed):
        tell_standing(party=measured.party("INN"), standing="abroad", since=at(0), **measured.by("accounting"))


def test_a_scheme_says_whether_late_entries_amend(measured: Brewhouse, monkeypatch: pytest.MonkeyPatch):
    closing = close(measured)
    measured.destroy("KEG1", "COLD", "2 each", hours=350)
    with pytest.raises(NotAmended, match="a late entry belongs to the next period"):
        amend_period(closing=closing, reason="two kegs", **measured.by("accounting"))
    monkeypatch.setattr(SCHEMES["us"], "late_entry", LateEntry.AMENDMENT)
    with pytest.raises(PeriodNotReady, match="amend it first"):
        close(measured, APRIL)
    amended = amend_period(closing=closing, reason="two kegs", **measured.by("accounting"))
    assert sum(Decimal(row["closing_l"]) for row in amended.record["rows"]) == 715
    with pytest.raises(NotAmended, match="It was amended already"):
        amend_period(closing=closing, reason="again", **measured.by("accounting"))
    assert litres(totals(record_under("us", Period(*APRIL)))["opening"]) == "715"


def test_the_archive_is_checked_without_this_service(measured: Brewhouse, tmp_path):
    closing = close(measured)
    packed = archive_of(closing)
    assert packed == archive_of(DutyClosing.objects.get(pk=closing.pk))
    zipfile.ZipFile(io.BytesIO(packed)).extractall(tmp_path)
    checked = subprocess.run(
        ["sha256sum", "-c", "SHA256SUMS"],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=True,
    )
    assert checked.stdout.count(": OK") == 6
    told = json.loads((tmp_path / "closing.json").read_text())
    text = json.dumps(told["record"], sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert hashlib.sha256(text.encode()).hexdigest() == told["digest"] == closing.digest
    assert told["seal"] == closing.seal.digest
    adds_up(tmp_path)
    assert "not a filing" in (tmp_path / "README.txt").read_text()


def adds_up(folder) -> None:
    """What an auditor reckons with a spreadsheet: rows close, and lines are the sums of their postings."""
    sums, lines = {}, {}
    with (folder / "record.csv").open() as rows:
        for row in csv.DictReader(rows):
            beer, amount = (row["product"], row["strength"], row["container_l"]), Decimal(row["litres"])
            sums[beer] = sums.get(beer, 0) + (-amount if row["part"] == "closing" else amount)
            if row["part"] == "line":
                key = row["product"], row["line"]
                lines[key] = lines.get(key, 0) + amount
    assert sums
    assert set(sums.values()) == {0}
    with (folder / "postings.csv").open() as rows:
        for row in csv.DictReader(rows):
            key = row["product"], row["line"]
            lines[key] = lines.get(key, 0) - Decimal(row["litres"])
    assert set(lines.values()) == {0}


def test_a_closing_is_sealed_and_never_changed(measured: Brewhouse):
    closing = close(measured)
    with pytest.raises(Error) as changed, transaction.atomic():
        DutyClosing.objects.filter(pk=closing.pk).update(digest="0" * 64)
    assert broken_rule(changed.value) == "closings_of_duty_periods_are_never_changed"
    seal_record()
    assert list(broken()) == []


def test_a_period_is_closed_and_fetched_over_the_api(measured: Brewhouse):
    api = Api(measured)
    asked = {"scheme": "us", "first": "2026-03-01", "last": "2026-03-31"}
    told = api.get("duty-missing/?scheme=us&first=2026-03-01&last=2026-03-31", "auditor").json()
    assert [one["must"] for one in told] == [False]
    assert told[0]["words"].startswith("No count about the end of the period of: ")
    made = api.post("duty-closings/", asked, "accounting")
    assert made.status_code == 201
    assert problem_of(api.post("duty-closings/", asked, "accounting"), 409)["code"] == "duty_period_already_closed"
    archive = api.get(f"duty-closings/{made.json()['id']}/archive/", "auditor")
    assert archive["Content-Disposition"] == 'attachment; filename="duty-us-2026-03-01-2026-03-31.zip"'
    assert zipfile.ZipFile(io.BytesIO(archive.content)).testzip() is None


def test_the_command_tells_the_lines_and_writes_the_archive(measured: Brewhouse, tmp_path):
    said = io.StringIO()
    asked = ["duty", "us", "2026-03-01", "2026-03-31"]
    call_command(*asked, stdout=said)
    assert re.search(r"^Removed for consumption or sale +-200 L$", said.getvalue(), re.MULTILINE)
    assert "No count about the end of the period of: " in said.getvalue()
    with pytest.raises(CommandError, match="is not closed under us: close it first"):
        call_command(*asked, "--archive", str(tmp_path / "march.zip"), stdout=said)
    closing = close(measured)
    call_command(*asked, "--archive", str(tmp_path / "march.zip"), stdout=said)
    assert (tmp_path / "march.zip").read_bytes() == archive_of(closing)
