"""British duty: litres of pure alcohol, draught relief, and the small producers' discount rounded up."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.duty.movements import Container, ContainerKind, Kind, Measured, Movement, Place
from brewery.science.duty.rates import RateBook
from brewery.science.duty.schemes import Account, worksheet
from brewery.science.duty.united_kingdom import (
    RATES,
    UnitedKingdom,
    litres_of_alcohol,
    rate_class,
    small_discount,
)
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO

BOOK = RateBook(RATES)
SCHEME = UnitedKingdom()
DAYS = (date(2023, 9, 1), date(2025, 3, 1), date(2026, 3, 1))
KEG = Container(ContainerKind.KEG, 50 * MICRO, dispense=True)
SMALL = {"is_small": True, "alcohol_hl": Decimal(60)}


def moved(
    day: date,
    alcohol: str | None = "4.5",
    litres: int = 1000,
    kind: Kind = Kind.REMOVED,
    container: Container | None = None,
) -> Movement:
    strength = None if alcohol is None else Measured(Decimal(alcohol), day, "by hand")
    count = 0 if container is None else litres * MICRO // container.capacity_micro_l
    return Movement(day, "Bitter", kind, Place.CELLAR, litres * MICRO, container, count, alcohol=strength)


def owed(*movements: Movement, facts=None) -> Decimal:
    return SCHEME.duty(movements, BOOK, Decimal(0), facts or {}).amount


# 1,000 L of 4.5 % are 45 L of alcohol: obr.uk and pinsentmasons.com (2023), gov.uk (2025), proposed and
# told as in force (2026); the products are calculated.
@pytest.mark.parametrize(
    ("day", "plain", "draught"),
    [(DAYS[0], "945.45", None), (DAYS[1], "980.10", "844.20"), (DAYS[2], "1016.10", "875.25")],
)
def test_a_thousand_litres_of_ordinary_beer(day: date, plain: str, draught: str | None):
    assert litres_of_alcohol(Fraction(1000), Fraction("4.5")) == 45
    assert owed(moved(day)) == Decimal(plain)
    if draught:
        assert owed(moved(day, container=KEG)) == Decimal(draught)


@pytest.mark.parametrize(("day", "discount", "duty"), [(DAYS[1], "11.82", "448.20"), (DAYS[2], "12.25", "464.85")])
def test_the_discount_of_a_small_producer_is_rounded_up_to_the_penny(day: date, discount: str, duty: str):
    """60 hL of alcohol: (99.68 + 11.08 × 55)/60 = 11.818, and 12.24567 a year later. govdiff on the relief."""
    assert small_discount("standard", Decimal(60), BOOK, day) == Decimal(discount)
    assert owed(moved(day), facts=SMALL) == Decimal(duty)


def test_the_smallest_producer_has_the_whole_discount():
    assert small_discount("standard", Decimal(4), BOOK, DAYS[1]) == Decimal("19.94")
    assert small_discount("standard", Decimal(4_501), BOOK, DAYS[1]) == 0
    assert small_discount("high", Decimal(4), BOOK, DAYS[1]) == 0


# Below 3.5 %, not draught: the bands of 2025 and 2026 told by govdiff on the relief; the quotients are calculated.
@pytest.mark.parametrize(
    ("alcohol_hl", "day", "discount"),
    [
        ("5", DAYS[1], "9.61"),
        ("50", DAYS[1], "3.16"),  # (48.05 + 2.44 × 45)/50 = 3.157
        ("100", DAYS[1], "2.32"),  # (157.99 + 1.47 × 50)/100 = 2.3149
        ("200", DAYS[1], "1.41"),  # (231.28 + 0.49 × 100)/200 = 1.4014
        ("600", DAYS[2], "0.49"),  # 290.35/600 = 0.4839
        ("4500", DAYS[2], "0.01"),  # (290.35 − 0.08 × 3500)/4500 = 0.0023
    ],
)
def test_the_bands_of_weak_beer(alcohol_hl: str, day: date, discount: str):
    assert small_discount("low", Decimal(alcohol_hl), BOOK, day) == Decimal(discount)


def test_a_band_that_nobody_could_read_is_to_be_looked_up():
    with pytest.raises(OutOfRange, match="No source gave this figure"):
        small_discount("standard", Decimal(200), BOOK, DAYS[1])
    with pytest.raises(OutOfRange, match="Look it up at the authority"):
        owed(moved(DAYS[1], container=KEG), facts=SMALL)


@pytest.mark.parametrize(
    ("alcohol", "is_draught", "key"),
    [
        ("1.2", False, "free"),  # from memory
        ("1.3", True, "draught_low"),
        ("3.4", False, "low"),
        ("3.5", False, "standard"),
        ("8.4", True, "draught"),
        ("8.5", True, "high"),
        ("22", False, "high"),
    ],
)
def test_the_classes_of_strength(alcohol: str, is_draught: bool, key: str):
    assert rate_class(Fraction(alcohol), is_draught=is_draught) == key


def test_stronger_than_beer_is_refused_and_so_is_what_was_not_measured():
    with pytest.raises(OutOfRange, match="Above 22 % vol other rates hold"):
        rate_class(Fraction("22.1"), is_draught=False)
    with pytest.raises(OutOfRange, match="enter a measured alcohol first"):
        owed(moved(DAYS[1], None))


def test_draught_is_from_twenty_litres_on_and_made_for_a_dispense_system():
    small = Container(ContainerKind.KEG, 19 * MICRO, dispense=True)
    not_told = Container(ContainerKind.KEG, 40 * MICRO)
    assert owed(moved(DAYS[1], litres=1900, container=small)) == owed(moved(DAYS[1], litres=1900))
    assert owed(moved(DAYS[1], container=not_told)) == owed(moved(DAYS[1])) == Decimal("980.10")
    assert owed(moved(DAYS[1], container=KEG)) == Decimal("844.20")


@pytest.mark.parametrize(
    ("container", "notes"),
    [
        (KEG, ("Draught rates are taken for kegs and casks of 20 L and more",)),
        (
            Container(ContainerKind.KEG, 40 * MICRO),
            ("No draught rate in 20 L and more, since not told to be kegs or casks: Bitter.",),
        ),
        (Container(ContainerKind.CASE, 10 * MICRO), ()),
        (None, ()),
    ],
)
def test_the_worksheet_says_what_was_taken_for_draught(container: Container | None, notes: tuple[str, ...]):
    found = SCHEME.duty([moved(DAYS[1], container=container)], BOOK, Decimal(0), {}).notes
    assert len(found) == len(notes)
    assert all(words in note for note, words in zip(found, notes, strict=True))


def test_draught_relief_is_what_was_announced():
    """9.2 % in 2023 and 13.9 % in 2025: gov.uk; a pint of 4.58 % fell by a penny in 2025."""
    for day, share in ((DAYS[0], Decimal("0.092")), (DAYS[1], Decimal("0.139"))):
        relief = 1 - BOOK.on("draught", day) / BOOK.on("standard", day)
        assert relief == pytest.approx(share, abs=Decimal("0.0005"))
    pint = Fraction("0.56826125") * Fraction("4.58") / 100
    fell = BOOK.on("draught", DAYS[0]) - BOOK.on("draught", DAYS[1])
    assert float(pint * Fraction(fell)) == pytest.approx(0.0083, abs=5e-5)


def test_what_is_missing_is_taxed_and_what_comes_back_is_taken_off():
    assert owed(moved(DAYS[1], kind=Kind.SHORTAGE)) == Decimal("980.10")
    found = SCHEME.duty([moved(DAYS[1]), moved(DAYS[1], kind=Kind.RETURNED)], BOOK, Decimal(0), {})
    assert found.amount == 0
    assert "within 3 years" in found.notes[0]
    assert owed(moved(DAYS[1], kind=Kind.EXPORTED), moved(DAYS[1], kind=Kind.LOST)) == 0


@given(st.lists(st.tuples(st.integers(1, 5000), st.integers(13, 220)), max_size=6))
def test_a_worksheet_of_any_month_closes_and_sums(sold: list[tuple[int, int]]):
    """Against exact fractions, class by class."""
    movements = [moved(DAYS[2], str(Decimal(tenths) / 10), litres) for litres, tenths in sold]
    account = Account(date(2026, 3, 1), date(2026, 3, 31), movements, {Place.CELLAR: Decimal(1000)})
    found = worksheet(SCHEME, account, BOOK)
    exact: dict[str, Fraction] = {}
    for litres, tenths in sold:
        key = rate_class(Fraction(tenths, 10), is_draught=False)
        exact[key] = exact.get(key, Fraction(0)) + Fraction(litres * tenths, 1000)
    owed_exactly = sum(alcohol * Fraction(BOOK.on(key, DAYS[2])) for key, alcohol in exact.items())
    assert float(found.duty.amount) == pytest.approx(float(owed_exactly), abs=0.005 * max(1, len(exact)) + 1e-9)
    assert all(check.agrees for check in found.checks)
    assert sum(found.closing.values()) == Decimal(1000) - Decimal(sum(litres for litres, _ in sold)) / 100
