"""What duty is reckoned by: rates that are entered take the place of those that came; answers are kept and dated."""

import io
from datetime import date
from decimal import Decimal

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError
from django.db import Error, transaction
from pypdf import PdfReader

from brewery.kernel.database.refusals import broken_rule
from brewery.kernel.errors import InvalidInput
from brewery.kernel.queries.seals import broken
from brewery.kernel.services.seals import seal_record
from brewery.science.duty.known import SCHEMES
from inventory.queries.usage import Period
from inventory.services.certificates import Measured, enter_certificate
from tests.api.client import Api, fields_of, problem_of
from tests.brewhouse import Brewhouse
from traceability.models import DutyFacts, DutyRate
from traceability.printing.duty_sheets import period_as_pdf
from traceability.queries.duty_rates import facts_on, known_rates, rate_book
from traceability.queries.duty_worksheets import worksheet_as_data
from traceability.services.duty_periods import close_period
from traceability.services.duty_rates import enter_rate, tell_facts

MARCH, APRIL = Period(date(2026, 3, 1), date(2026, 3, 31)), Period(date(2026, 4, 1), date(2026, 4, 30))
GERMAN = {"key": "per_hl_plato", "source": "§ 2 BierStG"}

pytestmark = pytest.mark.django_db


def enter(house: Brewhouse, value: str, since: date, scheme: str = "de", **more) -> DutyRate:
    return enter_rate(scheme=scheme, value=Decimal(value), valid_from=since, **GERMAN, **more, **house.by("accounting"))


@pytest.fixture
def measured(brewhouse: Brewhouse) -> Brewhouse:
    """The whole chain, its kegs measured when they were filled."""
    brewhouse.whole_chain()
    values = [Measured("alcohol", "4.8", method="EBC 9.2.1"), Measured("original_extract", "12.9", method="EBC 9.4")]
    told = {"issued_on": date(2026, 3, 16), **brewhouse.by("quality")}
    enter_certificate(lot=brewhouse.lot("KEG1"), values=values, **told)
    return brewhouse


@pytest.mark.parametrize("scheme", list(SCHEMES))
def test_without_entries_the_rates_are_those_that_came_to_be_checked(scheme: str):
    assert rate_book(scheme).rows == tuple(sorted(SCHEMES[scheme].rates, key=lambda row: (row.key, row.valid_from)))
    assert {one.state for one in known_rates(scheme)} <= {"to be checked", "no source gave it: enter it"}
    assert rate_book(scheme).faults() == []


def test_a_rate_that_is_entered_ends_the_one_before_it(brewhouse: Brewhouse):
    shipped = rate_book("de").on("per_hl_plato", date(2026, 6, 30))
    enter(brewhouse, "0.9", date(2026, 7, 1))
    book = rate_book("de")
    assert book.on("per_hl_plato", date(2026, 6, 30)) == shipped
    assert book.on("per_hl_plato", date(2026, 7, 1)) == Decimal("0.9")
    assert book.faults() == []


def test_a_rate_that_is_entered_again_counts_as_it_was_entered_last(brewhouse: Brewhouse):
    (row,) = [one.rate for one in known_rates("de") if one.rate.key == "per_hl_plato"]
    enter(brewhouse, "0.8", row.valid_from)
    enter(brewhouse, "0.787", row.valid_from, checked_on=date(2026, 3, 2))
    (known,) = [one for one in known_rates("de") if one.rate.key == "per_hl_plato"]
    assert (known.rate.value, known.state) == (Decimal("0.787"), "checked on 2026-03-02")
    assert known.entered is not None
    assert known.entered.actor.username == "accounting"


@pytest.mark.parametrize(
    ("told", "field"),
    [
        ({"key": "per_bottle"}, "key"),
        ({"value": Decimal("NaN")}, "value"),
        ({"value": Decimal("0.0000001")}, "value"),
        ({"valid_until": date(2026, 6, 30)}, "valid_until"),
        ({"source": " "}, "source"),
        ({"checked_on": date(2199, 1, 1)}, "checked_on"),
        ({"scheme": "atlantis"}, "scheme"),
    ],
)
def test_a_rate_that_cannot_be_is_refused(brewhouse: Brewhouse, told, field: str):
    asked = {"scheme": "de", "value": Decimal("0.9"), "valid_from": date(2026, 7, 1), **GERMAN}
    with pytest.raises(InvalidInput) as refusal:
        enter_rate(**{**asked, **told}, **brewhouse.by("accounting"))
    assert refusal.value.field == field
    assert not DutyRate.objects.exists()


def test_the_worksheet_is_reckoned_by_the_rate_that_was_entered(measured: Brewhouse):
    """1.5 hL of class 12: 9.44 EUR/hL by the law's rate (zoll.de); at 1.00 it would be 12.00."""
    tell_facts(scheme="de", since=MARCH.first, facts={"made_hl": Decimal(250_000)}, **measured.by("accounting"))
    assert worksheet_as_data("de", MARCH)["sheet"]["duty"]["amount"] == "14.16"
    enter(measured, "1", date(2026, 3, 1), checked_on=date(2026, 3, 2))
    told = worksheet_as_data("de", MARCH)
    assert told["sheet"]["duty"]["amount"] == "18.00"
    assert [one["checked_on"] for one in told["rates"] if one["key"] == "per_hl_plato"] == ["2026-03-02"]


def test_answers_hold_until_they_are_answered_again(brewhouse: Brewhouse):
    tell_facts(scheme="us", since=MARCH.first, facts={"made_bbl": Decimal(5000)}, **brewhouse.by("accounting"))
    tell_facts(scheme="us", since=date(2027, 1, 1), facts={"made_bbl": Decimal(9000)}, **brewhouse.by("accounting"))
    assert facts_on("us", date(2026, 2, 28)) == {}
    assert facts_on("us", date(2026, 12, 31)) == {"made_bbl": Decimal(5000)}
    assert facts_on("us", date(2027, 1, 1)) == {"made_bbl": Decimal(9000)}


def test_an_answer_about_one_period_says_nothing_of_the_next(brewhouse: Brewhouse):
    told = {"made_bbl": Decimal(5000), "on_returns_bbl": Decimal("1.27")}
    tell_facts(scheme="us", since=MARCH.first, facts=told, **brewhouse.by("accounting"))
    assert facts_on("us", MARCH.first) == told
    assert facts_on("us", APRIL.first) == {"made_bbl": Decimal(5000)}


@pytest.mark.parametrize("facts", [{"made_tons": Decimal(1)}, {"made_bbl": True}, {"made_bbl": Decimal(-1)}])
def test_an_answer_to_another_question_is_refused(brewhouse: Brewhouse, facts):
    with pytest.raises(InvalidInput) as refusal:
        tell_facts(scheme="us", since=MARCH.first, facts=facts, **brewhouse.by("accounting"))
    assert refusal.value.field in facts
    assert not DutyFacts.objects.exists()


def test_a_closing_keeps_the_worksheet_and_the_next_one_begins_where_it_ends(measured: Brewhouse):
    """Line 1 is line 33 of the last period: archived hints of ttb.gov. By what lies there it would be 0.01 less."""
    tell_facts(scheme="us", since=MARCH.first, facts={"made_bbl": Decimal(5000)}, **measured.by("accounting"))
    closing = close_period(scheme="us", first=MARCH.first, last=MARCH.last, **measured.by("accounting"))
    kept = closing.record["worksheet"]
    assert kept["facts"] == {"made_bbl": "5000"}
    assert {one["key"] for one in kept["rates"]} == {row.key for row in SCHEMES["us"].rates}
    (ends,) = [line["cells"]["total"] for line in kept["sheet"]["lines"] if line["number"] == "33"]
    (begins,) = [
        line["cells"]["total"] for line in worksheet_as_data("us", APRIL)["sheet"]["lines"] if line["number"] == "1"
    ]
    assert begins == ends
    enter(measured, "9", date(2026, 3, 1), scheme="de")
    closing.refresh_from_db()
    assert closing.record["worksheet"] == kept


def test_what_was_entered_is_never_changed_and_sealed(brewhouse: Brewhouse):
    rate = enter(brewhouse, "0.9", date(2026, 7, 1))
    with pytest.raises(Error) as changed, transaction.atomic():
        DutyRate.objects.filter(pk=rate.pk).update(value_micro=1)
    assert broken_rule(changed.value) == "rates_of_duty_are_never_changed"
    facts = tell_facts(scheme="us", since=MARCH.first, facts={"made_bbl": Decimal(1)}, **brewhouse.by("accounting"))
    with pytest.raises(Error) as deleted, transaction.atomic():
        facts.delete()
    assert broken_rule(deleted.value).startswith("answers_to_duty_schemes_are_never")
    seal_record()
    assert list(broken()) == []


def test_rates_and_answers_are_entered_over_the_api(measured: Brewhouse):
    api = Api(measured)
    asked = {"scheme": "de", "value": "1", "valid_from": "2026-03-01", **GERMAN}
    assert api.post("duty-rates/", asked, "accounting").json()["value"] == "1"
    rates = {(one["key"], one["valid_from"]): one for one in api.get("duty-rates/?scheme=de").json()}
    assert rates["per_hl_plato", "2026-03-01"]["entered_by"] == "accounting"
    answers = {"scheme": "de", "since": "2026-01-01", "facts": {"made_hl": "250000", "independent": True}}
    assert api.post("duty-answers/", answers, "accounting").status_code == 201
    days = "first=2026-03-01&last=2026-03-31"
    told = api.get(f"duty-worksheets/?scheme=de&{days}").json()
    assert (told["refused"], told["sheet"]["duty"]["amount"]) == ("", "18.00")
    assert "not a filing" in told["caution"]
    assert fields_of(problem_of(api.post("duty-answers/", answers | {"facts": {"made_hl": "many"}}, "accounting"), 400))
    assert api.get("duty-worksheets/?scheme=de&first=2026-03-01&last=2026-03-30").status_code == 400


def test_the_pages_enter_confirm_and_reckon(measured: Brewhouse, client):
    client.force_login(measured.people["accounting"])
    address = "/duty/rates/de/"
    page = client.get(f"{address}?key=per_hl_plato&from=2010-01-01").content.decode()
    assert "to be checked" in page
    form = {"request_id": "5b0b0f9c-5a2e-4a55-8a47-0b1d3f1f6d10", "key": "per_hl_plato", "value": "1"}
    wrong = client.post(address, form | {"valid_from": "2026-03-01", "source": ""})
    assert (wrong.status_code, DutyRate.objects.count()) == (400, 0)
    sent = client.post(address, form | {"valid_from": "2026-03-01", "source": "§ 2", "checked_on": "2026-03-02"})
    assert (sent.status_code, sent.url) == (303, address)
    assert "checked on 2026-03-02" in client.get(address).content.decode()
    worksheet = "/duty/de/2026-03-01/2026-03-31/worksheet/"
    assert "Answer it first" in client.get(worksheet).content.decode()
    told = {"request_id": "5b0b0f9c-5a2e-4a55-8a47-0b1d3f1f6d11", "made_hl": "250000", "independent": "on"}
    assert client.post(worksheet, told).status_code == 303
    assert "18.00 EUR" in client.get(worksheet).content.decode()
    close_period(scheme="de", first=MARCH.first, last=MARCH.last, **measured.by("accounting"))
    enter(measured, "2", date(2026, 3, 1))
    kept = client.get(worksheet).content.decode()
    assert "As it was kept when the period was closed" in kept
    assert "18.00 EUR" in kept
    assert "Keep the answers" not in kept
    assert client.get("/duty/rates/atlantis/").status_code == 404


def test_the_command_tells_the_worksheet(measured: Brewhouse, capsys):
    with pytest.raises(CommandError, match="Answer it first"):
        call_command("duty", "us", "2026-03-01", "2026-03-31", worksheet=True)
    tell_facts(scheme="us", since=MARCH.first, facts={"made_bbl": Decimal(5000)}, **measured.by("accounting"))
    call_command("duty", "us", "2026-03-01", "2026-03-31", worksheet=True)
    out = capsys.readouterr().out
    assert "Duty: 4.45 USD on 1.27 US bbl" in out
    assert "DOES NOT AGREE" not in out


def words_of(document: bytes) -> str:
    """What a person reads on the paper."""
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(document)).pages).split())


def test_the_paper_says_what_the_worksheet_says_and_that_it_is_none(measured: Brewhouse, tmp_path):
    told = words_of(period_as_pdf("us", MARCH))
    assert "Answer it first" in told
    tell_facts(scheme="us", since=MARCH.first, facts={"made_bbl": Decimal(5000)}, **measured.by("accounting"))
    told = words_of(period_as_pdf("us", MARCH))
    for words in ("4.45 USD on 1.27 US bbl", "not a filing", "Open: these figures", "TO BE CHECKED", "Agrees: Line 13"):
        assert words in told
    close_period(scheme="us", first=MARCH.first, last=MARCH.last, **measured.by("accounting"))
    kept = period_as_pdf("us", MARCH)
    enter(measured, "9", date(2026, 3, 1), scheme="de")
    measured.destroy("KEG1", "COLD", "2 each", hours=350)
    assert period_as_pdf("us", MARCH) == kept
    assert "Digest" in words_of(kept)
    call_command("duty", "us", "2026-03-01", "2026-03-31", pdf=tmp_path / "duty.pdf")
    assert (tmp_path / "duty.pdf").read_bytes() == kept
    days = "first=2026-03-01&last=2026-03-31"
    assert Api(measured).get(f"duty-worksheets/document/?scheme=us&{days}").content == kept
