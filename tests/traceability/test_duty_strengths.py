"""Strength for duty: what is measured, what is missing and what is doubtful, and stock in each scheme's own unit."""

from datetime import date
from decimal import Decimal

import pytest

from brewery.science.ranges import OutOfRange
from inventory.models import Balance
from inventory.queries.usage import Period
from inventory.services.certificates import Measured, enter_certificate
from tests.brewhouse import Brewhouse
from traceability.models import DutyClosing
from traceability.queries.duty_movements import worksheet_of
from traceability.queries.duty_periods import missing_for
from traceability.services.duty_periods import PeriodNotReady, close_period

MARCH, APRIL = Period(date(2026, 3, 1), date(2026, 3, 31)), Period(date(2026, 4, 1), date(2026, 4, 30))
GERMAN = {"made_hl": Decimal(250_000), "independent": True}
BRITISH = {"is_small": False}
FILLED_ON = date(2026, 3, 16)

pytestmark = pytest.mark.django_db


def measure(house: Brewhouse, on: date = FILLED_ON, lot: str = "KEG1", **values: str) -> None:
    """The kegs are measured, or what else is named."""
    told = [Measured(name, value, method="EBC 9.4") for name, value in values.items()]
    enter_certificate(lot=house.lot(lot), values=told, issued_on=on, **house.by("quality"))


def told(house: Brewhouse, scheme: str) -> list[str]:
    return [one.words for one in missing_for(scheme, MARCH)]


def test_german_duty_is_reckoned_by_the_measured_original_extract(brewhouse: Brewhouse):
    """4 kegs of 50 L less one that came back are 1.5 hL of class 12: 9.44 EUR/hL (zoll.de), at the full rate."""
    brewhouse.whole_chain()
    measure(brewhouse, alcohol="4.8", original_extract="12.9")
    sheet = worksheet_of("de", MARCH, GERMAN)
    assert (sheet.duty.quantity, sheet.duty.amount) == (Decimal("1.5"), Decimal("14.16"))
    assert [check.words for check in sheet.checks if not check.agrees] == []


@pytest.mark.parametrize(
    ("scheme", "facts", "line", "key", "litres", "decimals"),
    [
        ("us", {"made_bbl": Decimal(5000)}, "1", "total", "117.347765304", "0.02"),  # 31 gallons: 26 USC 5051
        ("de", GERMAN, "S0", "quantity", "100", "0"),
        ("uk", BRITISH, "S0", "quantity", "100", "0"),
    ],
)
def test_what_opens_a_period_is_in_the_unit_of_the_scheme(
    brewhouse: Brewhouse, scheme: str, facts: dict[str, Decimal], line: str, key: str, litres: str, decimals: str
):
    """465 L of beer in tanks and 7 kegs of 50 L: whole centilitres, or barrels to two decimals a column."""
    brewhouse.whole_chain()
    measure(brewhouse, alcohol="4.8", original_extract="12.9")
    (shown,) = [one.cells[key] for one in worksheet_of(scheme, APRIL, facts).lines if one.number == line]
    assert abs(shown - Decimal(815) / Decimal(litres)) <= Decimal(decimals)


def test_a_period_stays_open_for_each_strength_that_its_scheme_needs(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    measure(brewhouse, alcohol="4.8")
    assert not [words for words in told(brewhouse, "uk") if "measured" in words]
    assert "No measured original extract, with method and day, of lots that duty is reckoned on: KEG1." in told(
        brewhouse, "de"
    )
    asked = {"first": MARCH.first, "last": MARCH.last, **brewhouse.by("accounting")}
    with pytest.raises(PeriodNotReady, match="original extract"):
        close_period(scheme="de", **asked)
    measure(brewhouse, alcohol="4.8", original_extract="12.9")
    kept = close_period(scheme="de", **asked).record["strengths"]
    assert [(one["lot"], one["original_extract"], one["extract_on"]) for one in kept] == [
        ("KEG1", "12.9 °P", "2026-03-16")
    ]


def test_what_a_tank_is_short_of_is_taxed_by_its_measured_strength_where_the_scheme_taxes_it(brewhouse: Brewhouse):
    """A deficiency that nobody explains is taxed in the United Kingdom: 10 L of 5 % vol are 0.5 L of alcohol more."""
    brewhouse.whole_chain()
    measure(brewhouse, alcohol="4.8", original_extract="12.9")
    before = worksheet_of("uk", MARCH, BRITISH).duty.quantity
    beer = Balance.objects.held().get(location__code="BT1")
    held = beer.quantity_micro // 10**6
    brewhouse.count(beer.lot.code, "BT1", f"{held - 10} L", hours=400)
    words = f"No measured alcohol, with method and day, of lots that duty is reckoned on: {beer.lot.code}."
    assert words in told(brewhouse, "uk")
    assert not [one for one in told(brewhouse, "de") if "No measured" in one]
    with pytest.raises(OutOfRange, match="enter a measured alcohol first"):
        worksheet_of("uk", MARCH, BRITISH)
    measure(brewhouse, lot=beer.lot.code, alcohol="5")
    assert words not in told(brewhouse, "uk")
    assert worksheet_of("uk", MARCH, BRITISH).duty.quantity == before + Decimal("0.5")
    kept = close_period(scheme="uk", first=MARCH.first, last=MARCH.last, **brewhouse.by("accounting")).record
    assert {one["lot"]: one["alcohol"] for one in kept["strengths"]} == {"KEG1": "4.8 % vol", beer.lot.code: "5 % vol"}


def test_what_was_not_measured_in_an_earlier_month_keeps_no_later_worksheet_back(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    assert worksheet_of("uk", APRIL, BRITISH).duty.amount == 0


@pytest.mark.parametrize(("on", "is_stale"), [(FILLED_ON, False), (date(2026, 1, 2), True), (date(2026, 5, 30), True)])
def test_a_strength_that_was_measured_long_before_or_after_the_filling_is_doubted(
    brewhouse: Brewhouse, on: date, is_stale: bool
):
    brewhouse.whole_chain()
    measure(brewhouse, on, alcohol="4.8")
    assert (
        any("more than 30 days from the filling, of lots: KEG1" in words for words in told(brewhouse, "uk")) is is_stale
    )
    assert DutyClosing.objects.count() == 0
