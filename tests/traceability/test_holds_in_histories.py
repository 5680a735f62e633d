"""Holds in random histories: what networkx reaches forward is held, now and when it is made, and not shipped."""

from random import Random

import networkx
import pytest
from django.db import transaction
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from brewery.kernel.errors import DomainError
from inventory.models import Link, Location, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.services.refusals import LotNotReleased
from tests.brewhouse import Brewhouse
from tests.histories import History
from tests.traceability.test_holds import hold
from traceability.models import HeldLot

pytestmark = pytest.mark.django_db


def downstream(start: int, kinds: set[str]) -> set[int]:
    """Return what networkx reaches from a lot over links of these kinds."""
    rows = Link.objects.filter(reversed_by=None).values_list("parent", "child", "kind")
    labels = {kind.value: kind.label for kind in Link.Kind}
    graph = networkx.DiGraph([(parent, child) for parent, child, kind in rows if labels[kind] in kinds])
    graph.add_node(start)
    return {start, *networkx.descendants(graph, start)}


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
def test_everything_downstream_is_held_now_and_later(brewhouse: Brewhouse, seed: int, kinds: set[str]):
    with transaction.atomic():
        history = History(brewhouse, Random(seed))
        history.play(18)
        start = history.random.choice(list(Lot.objects.filter(reversed_by=None)[:6]))
        made = hold(brewhouse, start.code, follow=tuple(sorted(kinds)))
        held_is_downstream(start.pk, made.pk, kinds)
        nothing_held_is_shipped(brewhouse)
        for _ in range(5):
            history.receive("PILS")  # the mixed silo's heel may be held, and passes its hold on
        held_is_downstream(start.pk, made.pk, kinds)
        transaction.set_rollback(True)


def held_is_downstream(start: int, hold_id: int, kinds: set[str]) -> None:
    """Exactly what is downstream is under the hold, and none of it may be used."""
    held = set(HeldLot.objects.filter(hold=hold_id, lot__reversed_by=None).values_list("lot", flat=True))
    assert held == downstream(start, kinds)
    assert set(Lot.objects.filter(pk__in=held).values_list("disposition", flat=True)) <= {
        Disposition.ON_HOLD,
        Disposition.REJECTED,
    }


def nothing_held_is_shipped(house: Brewhouse) -> None:
    """Each held lot of packaged beer that lies in a store is refused at the dock."""
    packaged = HeldLot.objects.filter(lot__material__kind=Material.Kind.PACKAGED).select_related("lot")
    for held in packaged:
        stored = held.lot.balances.filter(quantity_micro__gt=0, location__kind=Location.Kind.STORE).first()
        if stored:
            with pytest.raises(DomainError) as refusal:
                house.ship("INN", (held.lot.code, stored.location.code, "1 each"), hours=6000, note="S-X")
            assert isinstance(refusal.value, LotNotReleased)
