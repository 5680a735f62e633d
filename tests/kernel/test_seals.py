"""Seals: whatever is changed, added or removed behind the service's back is found and named."""

import uuid
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from datetime import timedelta
from io import StringIO
from random import Random

import pytest
from django.core.management import CommandError, call_command
from django.db import DataError, IntegrityError, connection, models, transaction

from brewery.kernel.clock import now
from brewery.kernel.database import triggers
from brewery.kernel.database.sealed import SealedTable, sealed_tables
from brewery.kernel.models import Request, Seal, SealedRequest
from brewery.kernel.queries.seals import broken
from brewery.kernel.services.job_registry import find, schedule
from brewery.kernel.services.jobs import claim, enqueue, run
from brewery.kernel.services.seals import seal_record
from inventory.models import Event, Link, Lot, Posting
from tests.brewhouse import Brewhouse
from tests.standing import built_once

NOT_SEALED = {
    "inventory_deliverychange": "what was tried in a draft is no record of what happened",
    "kernel_seal": "a seal is not under itself",
    "kernel_sealedrequest": "a seal is not under itself",
    "traceability_finding": "what a proof finds is worked out of the record, and nobody asked for it",
    "traceability_findingend": "what a proof finds is worked out of the record, and nobody asked for it",
    "traceability_recordproof": "what a proof finds is worked out of the record, and nobody asked for it",
}


@built_once
def sealed(brewhouse: Brewhouse) -> Brewhouse:
    """The whole chain, sealed in two goes."""
    brewhouse.whole_chain()
    assert seal_record()
    brewhouse.decide("KEG1", "on_hold", hours=400)
    assert seal_record()
    return brewhouse


@contextmanager
def behind_its_back() -> Iterator[None]:
    """As somebody with the database open in another program, who has put every rule aside."""
    triggers.drop_all(connection)
    yield
    triggers.install_all(connection)


def found() -> list[tuple[str, str, str]]:
    return [(one.table, one.row, one.problem) for one in broken()]


def test_an_untouched_record_holds(sealed: Brewhouse):
    assert found() == []
    first, second = Seal.objects.order_by("pk")
    assert (first.previous, second.previous) == (None, first)
    assert (second.requests, second.rows) == (1, 2)


def test_what_is_sealed_is_not_sealed_again(sealed: Brewhouse):
    before = Seal.objects.count()
    assert seal_record() == Seal.objects.order_by("-pk").first()
    assert Seal.objects.count() == before
    assert SealedRequest.objects.count() == Request.objects.count()


def test_an_empty_record_has_no_seal(db: None):
    assert seal_record() is None
    assert found() == []


def test_marks_may_still_change(sealed: Brewhouse):
    event = sealed.deliver("SAAZ", "H9", "5 kg", hours=500, note="9")
    seal_record()
    sealed.reverse(event)
    assert found() == []


@pytest.mark.database
def test_every_append_only_table_is_sealed_or_says_why_not():
    guarded = {
        trigger.table for trigger in triggers.expected(connection.vendor) if trigger.name.endswith("_are_never_changed")
    }
    sealed = {table.model._meta.db_table for table in sealed_tables()}
    assert guarded - sealed == NOT_SEALED.keys()


def test_a_changed_quantity_is_named(sealed: Brewhouse):
    posting = Posting.objects.order_by("pk")[3]
    with behind_its_back():
        Posting.objects.filter(pk=posting.pk).update(quantity_micro=posting.quantity_micro + 1)
    assert found() == [("inventory.Posting", str(posting.pk), "it was changed")]


def test_a_removed_row_is_named(sealed: Brewhouse):
    link = Link.objects.order_by("pk").first()
    assert link
    with behind_its_back():
        Link.objects.filter(pk=link.pk)._raw_delete("default")
    assert found() == [("inventory.Link", str(link.pk), "it was removed")]


def test_a_row_added_to_a_sealed_event_is_named(sealed: Brewhouse):
    event = Event.objects.get(kind=Event.Kind.KNOCK_OUT)
    with behind_its_back():
        link = Link.objects.create(
            event=event, parent=sealed.lot("M1"), child=sealed.lot("KEG1"), kind=1, quantity_micro=1
        )
    assert found() == [("inventory.Link", str(link.pk), "it was added to what had been sealed")]


def test_a_request_that_claims_to_be_old_is_named(sealed: Brewhouse):
    request = Request.objects.create(
        id=uuid.uuid4(),
        action="test",
        actor=sealed.people[""],
        content={},
        recorded_at=now() - timedelta(hours=1),
    )
    problem = "it claims to be older than the last seal and is under none"
    assert found() == [("kernel.Request", str(request.pk), problem)]


def test_a_seal_that_was_made_to_fit_breaks_the_chain(sealed: Brewhouse):
    one = SealedRequest.objects.order_by("pk").first()
    assert one
    with behind_its_back():
        SealedRequest.objects.filter(pk=one.pk).update(digest="0" * 64)
    problems = {problem for table, _, problem in found() if table == "seal"}
    assert problems == {
        "its digest is not that of its requests and the seal before it",
        f"the digests of request {one.request} were changed",
    }


def test_a_removed_seal_is_missed(sealed: Brewhouse):
    with behind_its_back():
        SealedRequest.objects.filter(seal=Seal.objects.order_by("-pk")[0])._raw_delete("default")
    problems = {problem for table, _, problem in found() if table == "seal"}
    assert "0 requests of 1 are there" in problems


def test_seals_are_never_changed_or_deleted(sealed: Brewhouse):
    for model, words in ((Seal, "seals"), (SealedRequest, "sealed_requests")):
        with pytest.raises(IntegrityError, match=f"{words}_are_never_changed"), transaction.atomic():
            model._default_manager.update(digest="x")
        with pytest.raises(IntegrityError, match=f"{words}_are_never_deleted"), transaction.atomic():
            model._default_manager.all()._raw_delete("default")
    seal = Seal.objects.order_by("pk")[0]
    with pytest.raises(IntegrityError), transaction.atomic():
        Seal.objects.create(digest="x", requests=0, rows=0, read_at=seal.read_at, sealed_at=seal.sealed_at)


@pytest.mark.parametrize("seed", range(4))
def test_a_hundred_planted_changes_are_a_hundred_found(sealed: Brewhouse, seed: int):
    """Any column of any row of any sealed table is changed, or the row removed: each is named by table and key."""
    random = Random(seed)
    rows = [
        (table, row)
        for table in sealed_tables()
        for row in table.model._default_manager.order_by("pk").values("pk", *table.columns)
    ]
    chosen = random.sample(rows, min(100, len(rows)))
    with behind_its_back():
        planted = {_plant(random, table.model, table.columns, row) for table, row in chosen}
    named = {(one.table, one.row) for one in broken()}
    assert len(planted) == len(chosen)
    assert planted <= named


def _plant(random: Random, model: type[models.Model], columns: list[str], row: dict[str, object]) -> tuple[str, str]:
    """Remove the row or change one of its columns, whichever the database takes; return its table and key."""
    table, key_column = (connection.ops.quote_name(name) for name in (model._meta.db_table, model._meta.pk.column))
    key = model._meta.pk.get_db_prep_value(row["pk"], connection)
    changes = [f"DELETE FROM {table} WHERE {key_column} = %s"]  # noqa: S608 - names of our own
    for name in columns:
        field = next(one for one in model._meta.concrete_fields if one.attname == name)
        other = _other(field, connection.ops.quote_name(field.column), row[name])
        if other:
            changes.append(f"UPDATE {table} SET {other} WHERE {key_column} = %s")  # noqa: S608 - names of our own
    random.shuffle(changes)
    for change in changes:
        with suppress(IntegrityError, DataError), transaction.atomic(), connection.cursor() as cursor:
            cursor.execute(change, [key])
            connection.check_constraints()
            return model._meta.label, str(row["pk"])
    raise AssertionError(f"The database takes no change to {model._meta.label} {row['pk']}.")


def _other(field: models.Field, column: str, value: object) -> str:
    """Return the assignment of another value than the row has, or nothing where the column is none to try."""
    if field.primary_key or value is None:
        return ""
    if isinstance(field, models.CharField | models.TextField):
        return f"{column} = {column} || 'x'"
    if isinstance(field, models.BooleanField):
        return f"{column} = NOT {column}"
    return f"{column} = {column} + 1" if isinstance(field, models.IntegerField) else ""


def test_the_command_tells_a_seal_that_holds_and_one_that_is_not_of_this_chain(sealed: Brewhouse):
    out = StringIO()
    call_command("seal_record", stdout=out)
    digest = out.getvalue().split()[-1]
    call_command("verify_seals", "--seal", digest, stdout=out)
    assert out.getvalue().endswith("2 seals hold.\n")
    with pytest.raises(CommandError, match="1 findings"):
        call_command("verify_seals", "--seal", "0" * 64, stdout=out)


def test_the_command_names_what_was_changed(sealed: Brewhouse):
    with behind_its_back():
        Lot.objects.filter(code="KEG1").update(made_micro=1)
    out = StringIO()
    with pytest.raises(CommandError, match="1 findings"):
        call_command("verify_seals", stdout=out)
    seal = Seal.objects.order_by("pk")[0]
    assert out.getvalue() == f"inventory.Lot {sealed.lot('KEG1').pk}, seal {seal.pk}: it was changed\n"


def test_the_nightly_jobs_seal_the_day_and_look_at_every_seal(brewhouse: Brewhouse):
    brewhouse.whole_chain()
    results = []
    for name in ("seal_record", "verify_seals"):
        assert name in schedule()
        job = claim(enqueue(name).pk)
        assert job
        run(job, find(name).work, writes=find(name).writes)
        job.refresh_from_db()
        results.append(job.result)
    seal = Seal.objects.get()
    assert results == [{"seal": seal.pk, "digest": seal.digest}, {"broken": 0, "first": []}]


def test_a_column_that_came_later_leaves_rows_that_do_not_use_it_as_they_were_sealed():
    """Its name is sealed with it, so that one value cannot be taken for that of another column."""
    before = SealedTable("inventory.MailWish", "request", frozenset({"without"}))
    now = SealedTable("inventory.MailWish", "request", later={"without": []})
    assert now.columns == [*before.columns, "without"]
    old = [7, 3, True, False, "2026-03-02T08:00:00+00:00", "5e2"]
    assert now.sealed([*old, []]) == before.sealed(old) == old
    assert now.sealed([*old, ["malt_old"]]) == [*old, ["without", ["malt_old"]]]


def test_every_sealed_table_has_a_way_to_its_request():
    for table in sealed_tables():
        assert table.owner == "pk" or table.model._meta.get_field(table.owner.split("__")[0])
