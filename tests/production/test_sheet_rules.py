"""What the database itself refuses about brew sheets, whoever writes: through the ORM, and round it."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.db import IntegrityError, connection, transaction

from brewery.kernel.database import triggers
from brewery.production.models import BrewSheet, CellarStep, MashStep, SheetGrain, SheetHop, SheetIon, SheetSalt
from brewery.production.triggers import sheet_triggers
from tests.brewhouse import Brewhouse
from tests.production.sheets import content_of_fresh, draft, in_use

LINES = (
    (SheetGrain, "grain"),
    (SheetHop, "hops"),
    (SheetSalt, "salts"),
    (SheetIon, "ions"),
    (MashStep, "mash"),
    (CellarStep, "cellar_steps"),
)


@contextmanager
def database_refuses(rule: str, sheet: BrewSheet) -> Iterator[None]:
    """The database refuses what follows under the name of the rule, and the sheet says what it said."""
    before = content_of_fresh(sheet)
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        yield
    assert content_of_fresh(sheet) == before


def execute(sql: str, *parameters: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)


CHANGES: dict[str, Callable[[BrewSheet], Any]] = {
    "a figure": lambda sheet: BrewSheet.objects.filter(pk=sheet.pk).update(original_gravity_milli_p=13_000),
    "a figure taken away": lambda sheet: BrewSheet.objects.filter(pk=sheet.pk).update(bitterness_milli_bu=None),
    "a note": lambda sheet: execute("UPDATE production_brewsheet SET note = 'else' WHERE id = %s", sheet.pk),
    "its version": lambda sheet: execute("UPDATE production_brewsheet SET version = 9 WHERE id = %s", sheet.pk),
    "its yeast": lambda sheet: BrewSheet.objects.filter(pk=sheet.pk).update(yeast=None),
}


@pytest.mark.parametrize("what", CHANGES)
def test_a_sheet_in_use_stays_as_it_is(brewhouse: Brewhouse, what: str):
    sheet = in_use(brewhouse)
    with database_refuses("a_sheet_in_use_stays_as_it_is", sheet):
        CHANGES[what](sheet)


def test_every_column_but_the_state_is_guarded():
    text = next(rule.sqlite for rule in sheet_triggers() if rule.name == "a_sheet_in_use_stays_as_it_is")
    columns = {field.column for field in BrewSheet._meta.concrete_fields} - {"state"}
    assert {column for column in columns if f"OLD.{column} <> NEW.{column}" in text} == columns


def test_a_sheet_in_use_may_be_withdrawn_and_nothing_else(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    with database_refuses("a_sheet_in_use_is_only_withdrawn|a_sheet_in_use_stays_as_it_is", sheet):
        execute("UPDATE production_brewsheet SET state = 'draft', put_in_use_at = NULL WHERE id = %s", sheet.pk)
    BrewSheet.objects.filter(pk=sheet.pk).update(state="withdrawn")
    with database_refuses("a_sheet_in_use_is_only_withdrawn", sheet):
        BrewSheet.objects.filter(pk=sheet.pk).update(state="in_use")


def test_a_sheet_in_use_is_kept(brewhouse: Brewhouse):
    sheet = in_use(brewhouse, formats=())
    with database_refuses("_stay_on_delete|a_sheet_in_use_is_kept", sheet):
        sheet.delete()
    with database_refuses("a_sheet_in_use_is_kept", sheet):
        execute("DELETE FROM production_brewsheet WHERE id = %s", sheet.pk)


@pytest.mark.parametrize(("lines", "word"), LINES)
def test_the_lines_of_a_sheet_in_use_stay(brewhouse: Brewhouse, lines: type[Any], word: str):
    sheet, other = in_use(brewhouse), draft(brewhouse)
    rule = f"{word}_of_a_sheet_in_use_stay_on"
    with database_refuses(f"{rule}_delete", sheet):
        lines.objects.filter(sheet=sheet).delete()
    with database_refuses(f"{rule}_update", sheet):
        lines.objects.filter(sheet=sheet).update(sheet=other)
    with database_refuses(f"{rule}_update", sheet):
        lines.objects.filter(sheet=other).update(sheet=sheet)


def test_nothing_is_added_to_a_sheet_in_use(brewhouse: Brewhouse):
    sheet = in_use(brewhouse)
    with database_refuses("grain_of_a_sheet_in_use_stay_on_insert", sheet):
        SheetGrain.objects.create(sheet=sheet, position=3, material=brewhouse.material("SAAZ"), share_ppm=1)
    with database_refuses("mash_of_a_sheet_in_use_stay_on_insert", sheet):
        MashStep.objects.bulk_create(
            [MashStep(sheet=sheet, position=1, vessel="mash_tun", action="rest", temperature_milli_c=1, minutes=1)]
        )
    with database_refuses("formats_of_a_sheet_in_use_stay_on_insert", sheet):
        sheet.formats.add(brewhouse.material("LAGER"))
    with database_refuses("formats_of_a_sheet_in_use_stay_on_delete", sheet):
        sheet.formats.clear()


def test_a_draft_may_be_changed_and_deleted(brewhouse: Brewhouse):
    sheet = draft(brewhouse)
    SheetGrain.objects.filter(sheet=sheet).update(position=7)
    sheet.delete()
    assert not BrewSheet.objects.exists()


@pytest.mark.django_db
def test_the_rules_are_installed():
    assert {rule.name for rule in sheet_triggers()}.isdisjoint(triggers.missing(connection))


@pytest.mark.postgres
@pytest.mark.parametrize("table", ["brewsheet", "sheetgrain", "sheethop", "mashstep", "brewsheet_formats"])
def test_no_table_of_sheets_is_emptied_at_once(brewhouse: Brewhouse, table: str):
    sheet = in_use(brewhouse)
    execute("SET CONSTRAINTS ALL IMMEDIATE")  # PostgreSQL truncates no table with foreign keys left to check
    with database_refuses("never_truncated", sheet):
        execute(f"TRUNCATE production_{table} CASCADE")
