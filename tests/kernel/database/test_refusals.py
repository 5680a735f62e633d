"""What the database refuses is told in the words of the rule, on SQLite and on PostgreSQL."""

import pytest
from django.apps import apps
from django.db import Error, IntegrityError, OperationalError, transaction

from brewery.kernel.database.refusals import broken_rule, in_words, is_busy
from inventory.models import Balance, Event, Lot
from tests.brewhouse import Brewhouse


class Cause(Exception):
    """What psycopg says of an error."""

    def __init__(self, sqlstate: str) -> None:
        super().__init__()
        self.sqlstate = sqlstate


def raised(error: Error, sqlstate: str) -> Error:
    """Return the error as Django raises it over psycopg's."""
    error.__cause__ = Cause(sqlstate)
    return error


def test_a_check_is_named(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        Balance.objects.filter(lot__code="H1", location__code="STORE").update(quantity_micro=-1)
    assert broken_rule(refused.value) == "balance_is_never_below_zero"


def test_a_trigger_is_named(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        Event.objects.update(reason="another")
    assert broken_rule(refused.value) == "events_are_never_changed"


def test_a_unique_rule_is_named_though_sqlite_tells_its_columns_only(brewhouse: Brewhouse):
    brewhouse.deliver("SAAZ", "H1", "20 kg")
    lot = brewhouse.lot("H1")
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        Lot.objects.create(
            code="H1",
            material=lot.material,
            made_by=lot.made_by,
            made_at=lot.made_at,
            made_micro=1,
            disposition=lot.disposition,
        )
    assert broken_rule(refused.value) == "a_lot_code_is_used_once"


def test_a_rule_that_is_not_ours_has_no_name(brewhouse: Brewhouse):
    material = brewhouse.material("SAAZ")
    material.pk = None
    with pytest.raises(IntegrityError) as refused, transaction.atomic():
        material.save(force_insert=True)
    assert broken_rule(refused.value) is None


def test_a_rule_is_a_sentence():
    assert in_words("a_vessel_holds_one_lot") == "The database refuses: a vessel holds one lot."


def test_every_rule_of_ours_is_a_sentence_that_can_be_said():
    for model in apps.get_models():
        if model.__module__.startswith(("brewery.", "inventory.", "traceability.")):
            for rule in model._meta.constraints:
                assert in_words(rule.name).count(" ") >= 5, rule.name


@pytest.mark.parametrize("sqlstate", ["40001", "40P01", "53300", "55P03", "57P01"])
def test_what_passes_is_busy(sqlstate: str):
    # PostgreSQL 15, Appendix A: serialization failure, deadlock, too many connections, lock not available, shutdown
    assert is_busy(raised(OperationalError(), sqlstate))


def test_a_lock_of_sqlite_is_busy():
    assert is_busy(OperationalError("database is locked"))


@pytest.mark.parametrize("sqlstate", ["42703", "22003", "23514"])
def test_what_does_not_pass_is_not_busy(sqlstate: str):
    # PostgreSQL 15, Appendix A: undefined column, number out of range, check violation
    assert not is_busy(raised(OperationalError(), sqlstate))
