"""Allergens in random histories: what the question finds is what walking over the whole graph finds."""

from random import Random

import networkx
import pytest
from django.db import transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from inventory.models import Link, Lot, Material
from tests.brewhouse import Brewhouse
from tests.histories import History
from traceability.queries.allergens import profiles_of

pytestmark = pytest.mark.django_db

CARRIES = {
    "PILS": "barley",
    "SAAZ": "celery",
    "CASCADE": "mustard",
    "YEAST": "milk",
    "GYPSUM": "lupin",
    "ISINGLASS": "fish",
    "KIESELGUHR": "molluscs",
    "CROWN": "nuts",
}
"""One allergen a raw material, so that each tells where it came from."""


@settings(
    max_examples=12,
    derandomize=True,
    database=None,
    deadline=None,
    suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow],
)
@given(seed=st.integers(min_value=0, max_value=2**32), steps=st.integers(min_value=8, max_value=24))
def test_allergens_are_those_of_everything_that_leads_to_a_lot(brewhouse: Brewhouse, seed: int, steps: int):
    with transaction.atomic():
        for code, allergen in CARRIES.items():
            Material.objects.filter(code=code).update(allergens=[allergen])
        history = History(brewhouse, Random(seed))
        history.play(steps)
        lots = list(Lot.objects.filter(reversed_by=None).select_related("material"))
        found = {
            profile.lot.code: {
                (one.allergen.code, frozenset(carrier.code for carrier in one.lots), one.is_ingredient)
                for one in profile.carried
            }
            for profile in profiles_of(lots).values()
        }
        assert found == walked(history.model.links, lots)
        transaction.set_rollback(True)


def walked(links: list[tuple[str, str, str, int]], lots: list[Lot]) -> dict[str, set[tuple[str, frozenset[str], bool]]]:
    """The same by networkx: all ancestors, and those over ingredients alone."""
    everything = networkx.DiGraph([(parent, child) for parent, child, _, _ in links])
    ingredients = networkx.DiGraph(
        [(parent, child) for parent, child, kind, _ in links if kind == Link.Kind.INGREDIENT.label]
    )
    carries = {lot.code: CARRIES.get(lot.material.code) for lot in lots}
    for graph in (everything, ingredients):
        graph.add_nodes_from(carries)
    told: dict[str, set[tuple[str, frozenset[str], bool]]] = {}
    for code in carries:
        back = networkx.ancestors(everything, code) | {code}
        by_ingredient = networkx.ancestors(ingredients, code) | {code}
        told[code] = set()
        for allergen in CARRIES.values():
            carriers = frozenset(one for one in back if carries[one] == allergen)
            if carriers:
                told[code].add((allergen, carriers, bool(carriers & by_ingredient)))
    return told
