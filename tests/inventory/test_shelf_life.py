"""Shelf life: a lot whose date nobody gives keeps as long as its material does."""

from datetime import date

from inventory.models import Material
from tests.brewhouse import Brewhouse


def test_a_lot_without_a_date_keeps_as_long_as_its_material(brewhouse: Brewhouse):
    Material.objects.filter(code="SAAZ").update(shelf_life_days=400)
    brewhouse.deliver("SAAZ", "H1", "5 kg")
    brewhouse.deliver("SAAZ", "H2", "5 kg", best_before=date(2026, 6, 1), note="2")
    brewhouse.deliver("CASCADE", "H3", "5 kg", note="3")
    assert [brewhouse.lot(code).best_before for code in ("H1", "H2", "H3")] == [
        date(2027, 4, 6),
        date(2026, 6, 1),
        None,
    ]


def test_shelf_life_is_counted_from_the_brewerys_own_day(brewhouse: Brewhouse):
    """15.5 hours after 8:00 UTC on 2 March 2026 it is the next day in the brewery, in Berlin."""
    Material.objects.filter(code="SAAZ").update(shelf_life_days=1)
    brewhouse.deliver("SAAZ", "H1", "5 kg", hours=15.5)
    assert brewhouse.lot("H1").best_before == date(2026, 3, 4)
