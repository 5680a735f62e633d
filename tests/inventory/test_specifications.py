"""Specifications: the newest that is in force counts, and the earlier ones stay on record."""

from datetime import date

import pytest
from django.db import IntegrityError, transaction

from brewery.kernel.errors import InvalidInput
from inventory.models import Specification
from inventory.queries.specifications import in_force, limits_of
from tests.brewhouse import Brewhouse
from tests.inventory.laboratory import Laboratory
from tests.ledger import refused
from tests.standing import built_once


@built_once
def lab(brewhouse: Brewhouse) -> Laboratory:
    return Laboratory(brewhouse)


def asked_on(lab: Laboratory, day: date, material: str = "MUNICH") -> dict[str, str]:
    key = lab.house.material(material).pk
    return {name: limits_of(row) for name, row in in_force([key], day).get(key, {}).items()}


def test_the_newest_in_force_counts_and_the_next_waits_for_its_day(lab: Laboratory):
    lab.ask("MUNICH", "moisture", most="5.5", in_force_from=date(2026, 1, 1))
    lab.ask("MUNICH", "moisture", most="5", in_force_from=date(2026, 3, 1))
    lab.ask("MUNICH", "moisture", most="4.5", in_force_from=date(2026, 6, 1))
    assert asked_on(lab, date(2025, 12, 31)) == {}
    assert asked_on(lab, date(2026, 2, 28)) == {"moisture": "at most 5.5 %"}
    assert asked_on(lab, date(2026, 5, 31)) == {"moisture": "at most 5 %"}
    assert asked_on(lab, date(2026, 6, 1)) == {"moisture": "at most 4.5 %"}


def test_of_two_for_one_day_the_one_set_last_counts(lab: Laboratory):
    lab.ask("MUNICH", "moisture", most="5")
    lab.ask("MUNICH", "moisture", most="4.8")
    assert asked_on(lab, date(2026, 2, 1)) == {"moisture": "at most 4.8 %"}


def test_what_is_withdrawn_is_asked_for_no_longer(lab: Laboratory):
    lab.ask("MUNICH", "moisture", most="5")
    lab.ask("MUNICH", "protein", "9", "12")
    lab.ask("MUNICH", "moisture", is_withdrawn=True, in_force_from=date(2026, 2, 1))
    assert asked_on(lab, date(2026, 1, 31)) == {"moisture": "at most 5 %", "protein": "9 to 12 %"}
    assert asked_on(lab, date(2026, 2, 1)) == {"protein": "9 to 12 %"}


def test_a_property_may_be_asked_for_without_a_limit(lab: Laboratory):
    lab.ask("SAAZ", "form")
    assert asked_on(lab, date(2026, 2, 1), "SAAZ") == {"form": "must be stated"}


def test_materials_are_asked_for_each_by_itself(lab: Laboratory):
    lab.ask("MUNICH", "moisture", most="5")
    lab.ask("SAAZ", "moisture", most="11")
    assert asked_on(lab, date(2026, 2, 1), "PILS") == {}
    assert asked_on(lab, date(2026, 2, 1), "SAAZ") == {"moisture": "at most 11 %"}


@pytest.mark.parametrize(
    ("material", "facts", "sentence", "field"),
    [
        (
            "MUNICH",
            {"property": "alpha", "most": "5"},
            "property: 'alpha' is not valid. Certificates of malt state: moisture, extract_fine_as_is, "
            "extract_fine_dry, colour, protein, kolbach, friability, diastatic_power, deoxynivalenol, t2_ht2, "
            "ochratoxin_a.",
            "property",
        ),
        (
            "GYPSUM",
            {"property": "moisture", "most": "5"},
            "property: 'moisture' is not valid. No certificates of salt are kept.",
            "property",
        ),
        (
            "MUNICH",
            {"property": "moisture", "least": "6", "most": "5"},
            "most: '5' is not valid. It is less than the least that is asked.",
            "most",
        ),
        (
            "MUNICH",
            {"property": "moisture", "most": "51"},
            "most: '51' is not valid. Plausible is 0 to 50 %.",
            "most",
        ),
        (
            "SAAZ",
            {"property": "form", "least": "1"},
            "least: '1' is not valid. Form is said in words and has no limits.",
            "least",
        ),
        (
            "MUNICH",
            {"property": "moisture", "most": "5", "is_withdrawn": True},
            "most: '5' is not valid. What is asked for no longer has no limits.",
            "most",
        ),
    ],
)
def test_limits_that_cannot_be_are_refused(lab: Laboratory, material, facts, sentence, field):
    with refused(InvalidInput, sentence, field=field):
        lab.ask(material, **facts)


def test_a_specification_is_neither_changed_nor_deleted(lab: Laboratory):
    row = lab.ask("MUNICH", "moisture", most="5")
    with pytest.raises(IntegrityError, match="specifications_are_never_changed"), transaction.atomic():
        Specification.objects.update(most_micro=6_000_000)
    with pytest.raises(IntegrityError, match="specifications_are_never_deleted"), transaction.atomic():
        Specification.objects.filter(pk=row.pk)._raw_delete(using="default")


def test_the_database_holds_no_withdrawn_limit(lab: Laboratory):
    row = lab.ask("MUNICH", "moisture", most="5")
    row.pk, row.is_withdrawn = None, True
    with pytest.raises(IntegrityError, match="what_is_withdrawn_has_no_limits"), transaction.atomic():
        row.save(force_insert=True)
