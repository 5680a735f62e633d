"""Recalls: what is affected is what networkx reaches, every part sums exactly, and closing needs all settled."""

from fractions import Fraction
from random import Random

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from inventory.models import Lot
from tests.brewhouse import Brewhouse, at
from tests.histories import History
from tests.ledger import refused
from tests.standing import built_once
from tests.traceability.test_holds_in_histories import downstream
from traceability.models import Recall, RecallTask
from traceability.queries.recalls import RecallView, recalls, view_of
from traceability.services.recalls import (
    RecallClosed,
    RecallStillOpen,
    ToldLot,
    add_task,
    check_customer,
    close_recall,
    decide_class,
    finish_task,
    open_recall,
)

MICRO = 1_000_000


def opened(house: Brewhouse, lot: str = "M1", *, is_mock: bool = True, **asked: object) -> Recall:
    return open_recall(
        lots=[house.lot(lot)], hazard="glass in the malt", is_mock=is_mock, **asked, **house.by("quality")
    )


def as_it_stands(recall: Recall) -> RecallView:
    return view_of(recalls().get(pk=recall.pk))


def settle(house: Brewhouse, recall: Recall) -> None:
    """The inn holds all that it got, and every task is done."""
    told = [ToldLot(house.lot("KEG1"), 2 * MICRO, 1 * MICRO)]
    who = {"customer": house.party("INN"), "is_reached": True, "spoke_with": "the landlord"}
    check_customer(recall=recall, lots=told, **who, **house.by("quality"))
    for task in RecallTask.objects.filter(recall=recall, done=None):
        finish_task(task=task, **house.by("quality"))


@built_once
def house(brewhouse: Brewhouse) -> Brewhouse:
    brewhouse.whole_chain()
    return brewhouse


def test_every_part_of_the_kegs_is_told_with_the_customer_that_has_them(house: Brewhouse):
    house.destroy("KEG1", "COLD", "1 each", hours=400)
    house.count("KEG1", "COLD", "5 each", hours=410)
    view = as_it_stands(opened(house))
    keg = next(row for row in view.lots if row.lot.code == "KEG1")
    parts = (keg.made_micro, keg.on_hand_micro, keg.at_customers_micro, keg.destroyed_micro, keg.back_micro)
    assert [part // MICRO for part in parts] == [10, 5, 3, 1, 1]
    assert keg.unaccounted_micro == 1 * MICRO
    (inn,) = view.customers
    assert (inn.customer.code, [(one.shipped_micro, one.there_micro) for one in inn.lots]) == (
        "INN",
        [(4 * MICRO, 3 * MICRO)],
    )
    assert "1 each of lot KEG1 are unaccounted for." in view.open_points


def test_a_real_recall_holds_and_a_mock_one_does_not(house: Brewhouse):
    assert opened(house).hold is None
    assert house.lot("KEG1").disposition == "released"
    assert opened(house, is_mock=False).hold is not None
    assert house.lot("KEG1").disposition == "on_hold"


def test_only_lots_made_in_its_time_count_besides_the_subjects(house: Brewhouse):
    view = as_it_stands(opened(house, made_from=at(305)))
    assert [row.lot.code for row in view.lots] == ["M1", "KEG1"]


def test_it_closes_when_all_is_settled_or_with_a_reason(house: Brewhouse):
    recall = opened(house)
    with pytest.raises(RecallStillOpen, match="Nobody at The Heron Inn was reached"):
        close_recall(recall=recall, **house.by("quality"))
    settle(house, recall)
    assert as_it_stands(recall).open_points == []
    closing = close_recall(recall=recall, **house.by("quality"))
    assert (closing.open_points, closing.made_micro) == ([], closing.accounted_micro)
    with refused(RecallClosed, f"Mock recall {recall.pk} was closed already.", field="recall"):
        add_task(recall=recall, words="ring again", **house.by("quality"))
    other = opened(house)
    assert close_recall(recall=other, reason="a drill, cut short", **house.by("quality")).open_points


def test_the_class_is_decided_by_people_and_may_be_decided_again(house: Brewhouse):
    recall = opened(house)
    for value in ("III", "II"):
        decide_class(recall=recall, value=value, reason="hazard was judged", **house.by("quality"))
    assert [one.value for one in recall.classes.all()] == ["III", "II"]
    for change in (lambda: Recall.objects.update(hazard="none"), lambda: recall.classes.all().delete()):
        with pytest.raises(IntegrityError), transaction.atomic():
            change()


@settings(
    max_examples=8,
    derandomize=True,
    database=None,
    deadline=None,
    phases=(Phase.generate,),
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(
    seed=st.integers(min_value=0, max_value=2**32),
    kinds=st.sets(st.sampled_from(["ingredient", "culture", "carryover"]), min_size=1),
)
def test_what_is_affected_is_the_oracles_and_sums_exactly(brewhouse: Brewhouse, seed: int, kinds: set[str]):
    with transaction.atomic():
        history = History(brewhouse, Random(seed))
        history.play(18)
        start = history.random.choice(list(Lot.objects.filter(reversed_by=None)))
        view = as_it_stands(opened(brewhouse, start.code, follow=tuple(sorted(kinds))))
        assert {row.lot.pk for row in view.lots} == downstream(start.pk, kinds)
        for row in view.lots:
            assert row.made_micro == history.model.total(row.lot.code)
            assert row.unaccounted_micro == max(0, -row.lot.counted_micro)
        for one in view.reconciled:
            rows = [row for row in view.lots if row.lot.material.base_unit == one.unit]
            parts = [Fraction(100 * row.accounted_micro, one.made_micro) for row in rows]
            missing = Fraction(100 * sum(row.unaccounted_micro for row in rows), one.made_micro)
            assert sum(parts) == one.percent == 100 - missing
        transaction.set_rollback(True)
