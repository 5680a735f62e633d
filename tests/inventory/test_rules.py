"""What the database refuses by itself, whoever writes: each rule through the service, and round it in every way."""

import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date

import pytest
from django.apps import apps
from django.db import IntegrityError, connection, models, transaction
from django.db.models.signals import post_migrate

from brewery.kernel.clock import now
from brewery.kernel.database import triggers
from brewery.kernel.models import Request
from inventory.models import Balance, Decision, Event, Link, Location, Lot, Posting
from inventory.services.refusals import LotNotReleased, NotEnoughThere, VesselOccupied
from tests.brewhouse import Brewhouse, at, micro
from tests.ledger import everything_written, refused
from tests.standing import built_once

APPEND_ONLY = [(Event, "events"), (Posting, "postings"), (Decision, "decisions")]
NEVER_DELETED = [*APPEND_ONLY, (Link, "links"), (Lot, "lots")]


@built_once
def chain(brewhouse: Brewhouse) -> Brewhouse:
    """The whole chain, with a decision, so that every table of the ledger has rows."""
    brewhouse.whole_chain()
    brewhouse.decide("KEG1", "on_hold", hours=400)
    return brewhouse


@contextmanager
def database_refuses(rule: str) -> Iterator[None]:
    """The database refuses what follows under the name of the rule, and nothing has changed."""
    before = everything_written()
    with pytest.raises(IntegrityError, match=rule), transaction.atomic():
        yield
    assert everything_written() == before


def execute(sql: str, *parameters: object) -> None:
    with connection.cursor() as cursor:
        cursor.execute(sql, parameters)


def bare_event(house: Brewhouse, kind: str = Event.Kind.MOVE, hours: float = 500, **facts: object) -> Event:
    """An event written round every service."""
    request = Request.objects.create(
        id=uuid.uuid4(), action="test", actor=house.people[""], content={}, recorded_at=now()
    )
    return Event.objects.create(
        kind=kind, happened_at=at(hours), recorded_at=now(), actor=house.people[""], request=request, **facts
    )


def post_raw(house: Brewhouse, event: Event, lot: Lot, from_: str, to: str, quantity_micro: int) -> None:
    """A posting written round every service and the ORM."""
    execute(
        "INSERT INTO inventory_posting (event_id, lot_id, from_location_id, to_location_id, quantity_micro)"
        " VALUES (%s, %s, %s, %s, %s)",
        event.pk,
        lot.pk,
        house.place(from_).pk,
        house.place(to).pk,
        quantity_micro,
    )


def link_raw(event: Event, parent: Lot, child: Lot, kind: int, quantity_micro: int) -> None:
    """A link written round every service and the ORM."""
    execute(
        "INSERT INTO inventory_link (event_id, parent_id, child_id, kind, quantity_micro) VALUES (%s, %s, %s, %s, %s)",
        event.pk,
        parent.pk,
        child.pk,
        kind,
        quantity_micro,
    )


# Nothing is changed


@pytest.mark.parametrize(("model", "words"), APPEND_ONLY)
def test_append_only_rows_are_never_changed(chain: Brewhouse, model: type[models.Model], words: str):
    rule = f"{words}_are_never_changed"
    row = model._default_manager.latest("pk")
    column = {Event: "reason", Posting: "quantity_micro", Decision: "reason"}[model]
    value = 1 if model is Posting else "as if it had always been so"
    with database_refuses(rule):
        model._default_manager.update(**{column: value})
    with database_refuses(rule):
        model._default_manager.bulk_update([row], [column])
    with database_refuses(rule):
        row.save()
    with database_refuses(rule):
        execute(f"UPDATE {model._meta.db_table} SET {column} = %s WHERE id = %s", value, row.pk)  # noqa: S608


@pytest.mark.parametrize(("model", "words"), NEVER_DELETED)
def test_rows_of_the_record_are_never_deleted(chain: Brewhouse, model: type[models.Model], words: str):
    rule = f"{words}_are_never_deleted"
    key = model._default_manager.latest("pk").pk
    with database_refuses(rule):
        model._base_manager.filter(pk=key)._raw_delete(using="default")
    with database_refuses(rule):
        execute(f"DELETE FROM {model._meta.db_table} WHERE id = %s", key)  # noqa: S608
    with database_refuses(rule):
        execute(f"DELETE FROM {model._meta.db_table}")  # noqa: S608


@pytest.mark.parametrize(("model", "words"), [(Posting, "postings"), (Decision, "decisions"), (Link, "links")])
def test_rows_that_nothing_points_at_are_not_deleted_by_the_orm_either(
    chain: Brewhouse, model: type[models.Model], words: str
):
    with database_refuses(f"{words}_are_never_deleted"):
        model._default_manager.all().delete()
    with database_refuses(f"{words}_are_never_deleted"):
        model._default_manager.latest("pk").delete()


@pytest.mark.parametrize("model", [Event, Lot])
def test_rows_that_others_point_at_are_protected_by_the_orm_before_the_database(
    chain: Brewhouse, model: type[models.Model]
):
    with pytest.raises(models.ProtectedError):
        model._default_manager.all().delete()


@pytest.mark.postgres
@pytest.mark.parametrize(("model", "words"), NEVER_DELETED)
def test_tables_of_the_record_are_never_truncated(chain: Brewhouse, model: type[models.Model], words: str):
    execute("SET CONSTRAINTS ALL IMMEDIATE")  # PostgreSQL truncates no table with foreign keys left to check
    with database_refuses("are_never_truncated"):
        execute(f"TRUNCATE {model._meta.db_table} CASCADE")
    with database_refuses(f"{words}_are_never_truncated"):
        execute(f"TRUNCATE {', '.join(other._meta.db_table for other in tables_from(model))}")


def tables_from(model: type[models.Model]) -> list[type[models.Model]]:
    """The model's table first, then whatever points at it, so that its own rule is the first that is asked."""
    fields = model._meta.get_fields(include_hidden=True)
    pointing = [
        field.related_model for field in fields if field.one_to_many or (field.one_to_one and field.auto_created)
    ]
    further = [other for one in pointing if one is not model for other in tables_from(one)]
    return list(dict.fromkeys([model, *pointing, *further]))


LOT_FACTS: list[tuple[str, Callable[[Lot], object]]] = [
    ("code", lambda lot: "OTHER"),
    ("material_id", lambda lot: lot.material_id + 1),
    ("made_by_id", lambda lot: lot.made_by_id + 1),
    ("made_at", lambda lot: at(1)),
    ("made_micro", lambda lot: lot.made_micro + 1),
    ("supplier_id", lambda lot: None),
    ("supplier_lot", lambda lot: "OTHER"),
    ("best_before", lambda lot: date(2030, 1, 1)),
    ("generation", lambda lot: 7),
]


@pytest.mark.parametrize(("column", "other"), LOT_FACTS)
def test_a_lot_keeps_what_it_was_made_as(chain: Brewhouse, column: str, other: Callable[[Lot], object]):
    lot = chain.lot("M1")
    with database_refuses("a_lot_keeps_what_it_was_made_as"):
        Lot.objects.filter(pk=lot.pk).update(**{column: other(lot)})
    setattr(lot, column, other(lot))
    with database_refuses("a_lot_keeps_what_it_was_made_as"):
        lot.save()


def test_a_lot_made_by_mistake_stays_one(chain: Brewhouse):
    mistake = chain.deliver("SAAZ", "H9", "1 kg", hours=401)
    lot = chain.lot("H9")
    other = chain.reverse(mistake)
    with database_refuses("a_lot_keeps_what_it_was_made_as"):
        Lot.objects.filter(pk=lot.pk).update(reversed_by=None)
    with database_refuses("a_lot_keeps_what_it_was_made_as"):
        Lot.objects.filter(pk=lot.pk).update(reversed_by=mistake)
    lot.refresh_from_db()
    assert lot.reversed_by == other


@pytest.mark.parametrize("column", ["event_id", "parent_id", "child_id", "kind", "quantity_micro"])
def test_a_link_changes_only_by_the_mark_of_a_reversal(chain: Brewhouse, column: str):
    link = Link.objects.filter(kind=Link.Kind.INGREDIENT).earliest("pk")
    other = 3 if column == "kind" else getattr(link, column) + 1
    with database_refuses("a_link_changes_only_by_the_mark_of_a_reversal"):
        Link.objects.filter(pk=link.pk).update(**{column: other})


def test_the_mark_of_a_reversal_is_never_taken_off_a_link(chain: Brewhouse):
    chain.reverse(Event.objects.get(kind=Event.Kind.TAKE_BACK))
    chain.reverse(Event.objects.get(kind=Event.Kind.SHIP))
    reversal = chain.reverse(Event.objects.get(kind=Event.Kind.PACKAGE))
    marked = Link.objects.filter(reversed_by=reversal)
    assert marked.count() == 2
    with database_refuses("a_link_changes_only_by_the_mark_of_a_reversal"):
        marked.update(reversed_by=None)
    with database_refuses("a_link_changes_only_by_the_mark_of_a_reversal"):
        marked.update(reversed_by=reversal.reverses)


@pytest.mark.parametrize(("column", "other"), [("kind", "silo"), ("holds_one_lot", True), ("may_go_below_zero", True)])
def test_a_location_keeps_its_kind(chain: Brewhouse, column: str, other: object):
    with database_refuses("a_location_keeps_its_kind"):
        Location.objects.filter(code="STORE").update(**{column: other})


# What is there


def test_more_than_is_there_is_refused_by_the_service_in_words_and_by_the_database_by_name(chain: Brewhouse):
    with refused(NotEnoughThere, "Dry store holds 18 kg of lot H1; 19 kg was asked for."):
        chain.move("H1", "STORE", "COLD", "19 kg", hours=400)
    event = bare_event(chain)
    with database_refuses("balance_is_never_below_zero"):
        post_raw(chain, event, chain.lot("H1"), "STORE", "COLD", micro("19 kg"))
    store, cold = chain.place("STORE"), chain.place("COLD")
    half = {"event": event, "lot": chain.lot("H1"), "from_location": store, "quantity_micro": micro("10 kg")}
    with database_refuses("balance_is_never_below_zero"):
        Posting.objects.bulk_create(
            [Posting(to_location=cold, **half), Posting(to_location=chain.place("LAB"), **half)]
        )


def test_a_balance_is_not_set_below_zero_by_hand(chain: Brewhouse):
    with database_refuses("balance_is_never_below_zero"):
        Balance.objects.filter(lot=chain.lot("H1"), location=chain.place("STORE")).update(quantity_micro=-1)


def test_a_second_lot_in_a_vessel_is_refused_by_the_service_and_by_the_database(chain: Brewhouse):
    chain.deliver("YEAST", "Y3", "5 kg", "COLD", hours=400)
    with refused(VesselOccupied, "Yeast brink 1 holds lot Y2, so lot Y3 cannot go in beside it."):
        chain.move("Y3", "COLD", "BRINK1", "5 kg", hours=401)
    # The name on PostgreSQL, the column on SQLite, which does not tell the names of unique rules.
    rule = "a_vessel_holds_one_lot" if connection.vendor == "postgresql" else "inventory_balance.location_id"
    with database_refuses(rule):
        post_raw(chain, bare_event(chain), chain.lot("Y3"), "COLD", "BRINK1", micro("5 kg"))


@pytest.mark.parametrize("disposition", ["quarantined", "on_hold", "rejected"])
@pytest.mark.parametrize("to", ["B1", "transformed", "customer:INN"])
def test_a_lot_that_is_not_released_is_not_used(chain: Brewhouse, disposition: str, to: str):
    chain.decide("H1", disposition, hours=400)
    event = bare_event(chain)
    with database_refuses("only_released_lots_are_used"):
        post_raw(chain, event, chain.lot("H1"), "STORE", to, 1)
    posting = Posting(
        event=event,
        lot=chain.lot("H1"),
        from_location=chain.place("STORE"),
        to_location=chain.place(to),
        quantity_micro=1,
    )
    with database_refuses("only_released_lots_are_used"):
        posting.save()
    with database_refuses("only_released_lots_are_used"):
        Posting.objects.bulk_create([posting])


def test_a_lot_that_is_not_released_is_refused_by_the_service_too(chain: Brewhouse):
    brew = chain.start_brew("B2", hours=399)
    chain.decide("H1", "on_hold", hours=400)
    with refused(LotNotReleased, "Lot H1 is on hold, so it cannot be used.", field="lot"):
        chain.draw(brew, ("H1", "STORE", "1 kg"), hours=401)


def test_a_recorded_override_a_reversal_and_a_delivery_may_use_what_is_not_released(chain: Brewhouse):
    chain.decide("H1", "on_hold", hours=400)
    reversed_event = Event.objects.get(kind=Event.Kind.ADD)
    for event in (
        bare_event(chain, override_reason="brewmaster's word"),
        bare_event(chain, Event.Kind.RECEIVE),
        bare_event(chain, Event.Kind.REVERSE, reverses=reversed_event),
    ):
        post_raw(chain, event, chain.lot("H1"), "STORE", "transformed", 1)
    assert chain.held("H1", "transformed") == micro("2 kg") + 3


def test_a_lot_that_is_not_released_may_lie_anywhere_else(chain: Brewhouse):
    chain.decide("H1", "rejected", hours=400)
    event = bare_event(chain)
    for to in ("COLD", "LAB", "destroyed", "count_difference", "loss", "supplier:HOPYARD"):
        post_raw(chain, event, chain.lot("H1"), "STORE", to, 1)
    assert chain.held("H1", "STORE") == micro("18 kg") - 6


# What a posting, a link, a lot and an event may say


@pytest.mark.parametrize("quantity_micro", [0, -5])
def test_a_posting_moves_something(chain: Brewhouse, quantity_micro: int):
    with database_refuses("a_posting_moves_something"):
        post_raw(chain, bare_event(chain), chain.lot("H1"), "STORE", "COLD", quantity_micro)


def test_a_posting_goes_somewhere_else(chain: Brewhouse):
    with database_refuses("a_posting_goes_somewhere_else"):
        post_raw(chain, bare_event(chain), chain.lot("H1"), "STORE", "STORE", 1)


def test_a_parent_is_older_than_its_child(chain: Brewhouse):
    event = bare_event(chain)
    with database_refuses("a_parent_is_older_than_its_child"):
        link_raw(event, chain.lot("T1"), chain.lot("M1"), Link.Kind.INGREDIENT, 1)
    with database_refuses("a_parent_is_older_than_its_child"):
        link_raw(event, chain.lot("M1"), chain.lot("M1"), Link.Kind.CARRYOVER, 1)
    with database_refuses("a_parent_is_older_than_its_child"):
        Link.objects.bulk_create(
            [Link(event=event, parent=chain.lot("T1"), child=chain.lot("M1"), kind=1, quantity_micro=1)]
        )


@pytest.mark.parametrize(("kind", "quantity_micro"), [(1, 0), (1, -1), (2, 5), (2, -1), (3, -1)])
def test_an_ingredient_carries_a_quantity_and_a_culture_none(chain: Brewhouse, kind: int, quantity_micro: int):
    with database_refuses("an_ingredient_carries_a_quantity_and_a_culture_none"):
        link_raw(bare_event(chain), chain.lot("S1"), chain.lot("KEG1"), kind, quantity_micro)


def test_a_lot_is_made_of_something(chain: Brewhouse):
    with database_refuses("a_lot_is_made_of_something"):
        Lot.objects.create(
            code="N1", material=chain.material("PILS"), made_by=bare_event(chain), made_at=at(1), made_micro=0
        )


def test_a_lot_is_never_counted_below_nothing(chain: Brewhouse):
    with database_refuses("a_lot_is_never_counted_below_nothing"):
        Lot.objects.filter(code="H1").update(counted_micro=-micro("20.000001 kg"))


def test_a_lot_code_is_used_once_unless_by_mistake(chain: Brewhouse):
    facts = {"material": chain.material("PILS"), "made_by": bare_event(chain), "made_at": at(1), "made_micro": 1}
    rule = "a_lot_code_is_used_once" if connection.vendor == "postgresql" else "inventory_lot.code"
    with database_refuses(rule):
        Lot.objects.create(code="M1", **facts)
    chain.reverse(chain.deliver("SAAZ", "H9", "1 kg", hours=401))
    Lot.objects.create(code="H9", **facts)
    assert Lot.objects.filter(code="H9").count() == 2


def test_an_event_is_recorded_after_it_happened(chain: Brewhouse):
    with database_refuses("an_event_is_recorded_after_it_happened"):
        bare_event(chain, hours=24 * 36500)


def test_a_reversal_and_only_a_reversal_names_what_it_reverses(chain: Brewhouse):
    shipped = Event.objects.get(kind=Event.Kind.SHIP)
    with database_refuses("a_reversal_and_only_a_reversal_names_what_it_reverses"):
        bare_event(chain, Event.Kind.REVERSE)
    with database_refuses("a_reversal_and_only_a_reversal_names_what_it_reverses"):
        bare_event(chain, Event.Kind.MOVE, reverses=shipped)


def test_an_event_is_reversed_once(chain: Brewhouse):
    returned = Event.objects.get(kind=Event.Kind.TAKE_BACK)
    chain.reverse(returned)
    with database_refuses("reverses_id"):
        bare_event(chain, Event.Kind.REVERSE, reverses=returned)


# The rules themselves


def test_every_trigger_is_there_and_a_dropped_one_is_named(db: None):
    assert triggers.missing(connection) == []
    where = "" if connection.vendor == "sqlite" else " ON inventory_posting"
    execute(f'DROP TRIGGER "postings_are_never_changed"{where}')
    assert triggers.missing(connection) == ["postings_are_never_changed"]
    triggers.install_all(connection)
    assert triggers.missing(connection) == []


@pytest.mark.postgres
def test_a_trigger_that_is_switched_off_is_named(db: None):
    execute("ALTER TABLE inventory_posting DISABLE TRIGGER postings_are_never_deleted")
    assert triggers.missing(connection) == ["postings_are_never_deleted"]


@pytest.mark.django_db(transaction=True)
def test_triggers_survive_a_remake_of_their_table():
    constraint = models.CheckConstraint(name="tried_by_a_test", condition=models.Q(quantity_micro__lt=2**62))
    with connection.schema_editor() as editor:
        editor.add_constraint(Posting, constraint)
    # SQLite remakes the table for this, and its triggers go with the old one without a word.
    assert bool(triggers.missing(connection)) == (connection.vendor == "sqlite")
    post_migrate.send(
        sender=apps.get_app_config("kernel"),
        app_config=apps.get_app_config("kernel"),
        using="default",
        verbosity=0,
        interactive=False,
        plan=[],
        apps=apps,
    )
    assert triggers.missing(connection) == []
    with connection.schema_editor() as editor:
        editor.remove_constraint(Posting, constraint)
    triggers.install_all(connection)
