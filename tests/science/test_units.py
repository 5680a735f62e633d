"""Units: exact factors against pint and the statutes, rounding at the half, and splits that add up."""

from decimal import Decimal
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from brewery.science.units import (
    INT64_MAX,
    INT64_MIN,
    MICRO,
    UNITS,
    BaseUnit,
    UnitError,
    format_micro,
    from_micro,
    split_micro,
    to_micro,
)

PINT_NAMES = {
    "kg": "kilogram",
    "g": "gram",
    "lb": "pound",
    "oz": "ounce",
    "t": "metric_ton",
    "L": "liter",
    "mL": "milliliter",
    "hL": "hectoliter",
    "US gal": "gallon",
    "US bbl": "beer_barrel",
    "imp gal": "imperial_gallon",
    "imp bbl": "imperial_barrel",
}
int64 = st.integers(INT64_MIN, INT64_MAX)


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry:
    return pint.UnitRegistry(non_int_type=Decimal)


@pytest.mark.parametrize("symbol", PINT_NAMES)
def test_factor_agrees_with_pint(registry: pint.UnitRegistry, symbol: str) -> None:
    unit = UNITS[symbol]
    base = {"kg": "kilogram", "L": "liter"}[unit.base]
    oracle = registry.Quantity(Decimal(1), PINT_NAMES[symbol]).to(base).magnitude
    assert abs(Fraction(oracle) - unit.factor) < Fraction(1, 10**20)


def test_every_unit_but_each_has_an_oracle() -> None:
    assert set(UNITS) - set(PINT_NAMES) == {"each"}


def test_beer_barrel_is_not_the_barrel_of_other_liquids(registry: pint.UnitRegistry) -> None:
    # pint's plain "barrel" is the one of 31.5 US gallons (119.240471196 L); beer is measured in barrels of 31.
    other = Fraction(registry.Quantity(Decimal(1), "barrel").to("liter").magnitude)
    assert abs(other - Fraction("119.240471196")) < Fraction(1, 10**20)
    assert UNITS["US bbl"].factor == Fraction("117.347765304")


@pytest.mark.parametrize(
    ("symbol", "exact"),
    [
        ("US gal", "3.785411784"),  # NIST Handbook 44, Appendix C: 231 cubic inches
        ("US bbl", "117.347765304"),  # NIST Handbook 44, Appendix C, footnote: 31 gallons; the product
        ("imp gal", "4.54609"),  # Weights and Measures Act 1985 (UK), Schedule 1
        ("imp bbl", "163.65924"),  # 36 gallons, definition file of pint; the product
        ("lb", "0.45359237"),  # Weights and Measures Act 1985 (UK), Schedule 1
        ("oz", "0.028349523125"),  # a sixteenth of a pound; the quotient
        ("hL", "100"),  # Weights and Measures Act 1985 (UK), Schedule 1
    ],
)
def test_factor_is_the_published_one(symbol: str, exact: str) -> None:
    assert UNITS[symbol].factor == Fraction(exact)


def test_us_gallon_is_231_cubic_inches_of_254_hundredths_of_a_centimetre() -> None:
    # The inch of 2.54 cm: from memory.
    assert UNITS["US gal"].factor == 231 * Fraction("2.54") ** 3 / 1000


@pytest.mark.parametrize(
    ("gallons", "cask_l"),
    [  # Casks of the imperial measure by their gallons: from memory; litres are the products.
        (9, "40.91481"),
        (18, "81.82962"),
        (54, "245.48886"),
    ],
)
def test_imperial_casks_come_out_of_the_gallon(gallons: int, cask_l: str) -> None:
    assert to_micro(gallons, "imp gal") == to_micro(cask_l, "L")


@pytest.mark.parametrize(
    ("amount", "symbol", "micro"),
    [
        ("29.5735295625", "mL", 29_574),  # a US fluid ounce, gallon / 128 (product): rounded to a microlitre
        ("112", "lb", 50_802_345),  # the long hundredweight, 50.80234544 kg (product)
        ("2000", "lb", 907_184_740),  # the short ton, 907.18474 kg (product), is whole
        ("0.852167910832", "US bbl", 100_000_000),  # a hectolitre is 0.852167910832... barrels (quotient)
    ],
)
def test_published_products_come_out_in_micro_units(amount: str, symbol: str, micro: int) -> None:
    assert to_micro(amount, symbol) == micro


def test_one_barrel_there_and_back_is_one_barrel() -> None:
    assert from_micro(to_micro(1000, "US bbl"), "US bbl") == 1000
    assert format_micro(to_micro("1", "US bbl"), "US bbl") == "1"


@pytest.mark.parametrize(
    ("amount", "micro"),
    [
        ("0.0005", 0),
        ("0.0015", 2),
        ("0.0025", 2),
        ("0.00250001", 3),
        ("-0.0005", 0),
        ("-0.0015", -2),
        ("-0.0025", -2),
    ],
)
def test_half_a_milligram_goes_to_the_even_one(amount: str, micro: int) -> None:
    assert to_micro(amount, "g") == micro


@pytest.mark.parametrize("amount", ["12.5", "+12.5", "12.50", "1.25e1", Decimal("12.5")])
def test_the_same_quantity_may_be_written_in_several_ways(amount: str | Decimal) -> None:
    assert to_micro(amount, "kg", BaseUnit.KG) == 12_500_000


def test_whole_numbers_and_bare_points_are_quantities() -> None:
    assert to_micro(3, "hL") == 300 * MICRO
    assert to_micro(".5", "each") == to_micro("0.5", "each") == MICRO // 2
    assert to_micro("5.", "each") == 5 * MICRO


@pytest.mark.parametrize(
    "amount", ["", " ", "12,5", "1 000", "1_000", "NaN", "Infinity", "-inf", "0x10", "٣", "1e1000", "9" * 61]
)
def test_text_that_is_no_plain_decimal_is_refused(amount: str) -> None:
    with pytest.raises(UnitError, match="plain decimal") as refusal:
        to_micro(amount, "kg")
    assert refusal.value.code == "not_a_number"


@pytest.mark.parametrize("amount", [12.5, True, None, Decimal("NaN"), Decimal("sNaN"), Decimal("-Infinity")])
def test_floats_and_what_is_not_finite_are_refused(amount: object) -> None:
    with pytest.raises(UnitError) as refusal:
        to_micro(amount, "kg")  # type: ignore[arg-type]
    assert refusal.value.code == "not_a_number"


@pytest.mark.parametrize(
    ("amount", "unit"),
    [
        ("1e300", "kg"),
        (Decimal("1e999999999"), "kg"),
        (Decimal("0e999999999"), "kg"),
        (Decimal("1e-999999999"), "kg"),
        ("9223372036854.775808", "kg"),
        ("-9223372036854.775809", "L"),
        (10**18, "each"),
    ],
)
def test_what_does_not_fit_64_bits_is_refused(amount: str | int | Decimal, unit: str) -> None:
    with pytest.raises(UnitError) as refusal:
        to_micro(amount, unit)
    assert refusal.value.code == "out_of_range"


def test_the_last_values_that_fit_are_taken() -> None:
    assert to_micro("9223372036854.775807", "kg") == INT64_MAX
    assert to_micro("-9223372036854.775808", "kg") == INT64_MIN


@pytest.mark.parametrize("unit", ["", "KG", "bbl", "stone"])
def test_unknown_unit_is_refused_by_name_with_those_that_are_known(unit: str) -> None:
    for conversion in (lambda: to_micro("1", unit), lambda: from_micro(1, unit), lambda: format_micro(1, unit)):
        with pytest.raises(UnitError, match="US bbl") as refusal:
            conversion()
        assert refusal.value.code == "unknown_unit"
        assert repr(unit) in str(refusal.value)


def test_unit_of_another_dimension_is_refused() -> None:
    with pytest.raises(UnitError, match=r"3 hL is not a quantity in kg; write it in kg, g, lb, oz, t\.") as refusal:
        to_micro("3", "hL", BaseUnit.KG)
    assert refusal.value.code == "other_dimension"


@pytest.mark.parametrize(
    ("micro", "unit", "text"),
    [
        (0, "kg", "0"),
        (12_500_000, "kg", "12.5"),
        (1, "t", "0.000000001"),
        (-1, "L", "-0.000001"),
        (1_000_000_000, "L", "1000"),
        (45_359_237, "lb", "100"),
    ],
)
def test_quantity_is_written_exactly_and_without_idle_zeros(micro: int, unit: str, text: str) -> None:
    assert format_micro(micro, unit) == text


def test_quantity_is_written_with_the_places_asked_for() -> None:
    assert format_micro(12_500_000, "kg", 3) == "12.500"
    assert format_micro(12_500_000, "kg", 0) == "12"
    assert format_micro(13_500_000, "kg", 0) == "14"
    assert format_micro(-4, "kg", 2) == "0.00"


@given(micro=int64, unit=st.sampled_from(sorted(UNITS)))
def test_what_is_written_reads_back_to_the_same_micro_unit(micro: int, unit: str) -> None:
    assert to_micro(format_micro(micro, unit), unit) == micro


@given(micro=int64, unit=st.sampled_from(["kg", "g", "t", "L", "mL", "hL", "each"]))
def test_decimal_units_are_written_exactly(micro: int, unit: str) -> None:
    assert Fraction(format_micro(micro, unit)) == from_micro(micro, unit)


@given(
    amount=st.decimals(allow_nan=False, allow_infinity=False, min_value=-(10**9), max_value=10**9, places=12),
    unit=st.sampled_from(sorted(UNITS)),
)
def test_conversion_is_within_half_a_micro_unit(amount: Decimal, unit: str) -> None:
    assert abs(to_micro(amount, unit) - Fraction(amount) * UNITS[unit].factor * MICRO) <= Fraction(1, 2)


@given(
    total=st.integers(0, INT64_MAX),
    weights=st.lists(st.integers(0, INT64_MAX), min_size=1, max_size=12).filter(any),
)
def test_split_adds_up_and_each_part_is_within_a_micro_unit_of_its_share(total: int, weights: list[int]) -> None:
    parts = split_micro(total, weights)
    assert sum(parts) == total
    assert all(
        abs(part - Fraction(total * weight, sum(weights))) < 1 for part, weight in zip(parts, weights, strict=True)
    )


def test_split_gives_what_is_over_to_the_largest_remainder_and_on_a_tie_to_the_first() -> None:
    assert split_micro(10, [1, 1, 1]) == [4, 3, 3]
    assert split_micro(10, [5, 3, 3]) == [4, 3, 3]
    assert split_micro(7, [0, 2]) == [0, 7]


@pytest.mark.parametrize(("total", "weights"), [(5, []), (5, [0, 0]), (5, [3, -1]), (-5, [1, 1])])
def test_split_without_a_meaning_is_refused(total: int, weights: list[int]) -> None:
    with pytest.raises(UnitError, match="cannot be split") as refusal:
        split_micro(total, weights)
    assert refusal.value.code == "no_split"


def test_codes_of_the_record_for_trade_are_unique_and_never_the_petroleum_barrel() -> None:
    codes = [unit.uncefact_code for unit in UNITS.values() if unit.uncefact_code]
    assert len(codes) == len(set(codes))
    assert "BLL" not in codes
