"""What an audit finds when somebody went round the rules of the ledger."""

from django.db import connection

from brewery.kernel.database import triggers
from inventory.models import Event, Location
from inventory.queries.audits import run_audits
from tests.brewhouse import Brewhouse, at


def found() -> dict[str, list[tuple[str, int]]]:
    """Return the rows that each audit names, of those that name any."""
    told = {name: [(finding.table, finding.row) for finding in findings] for name, findings in run_audits()}
    return {name: rows for name, rows in told.items() if rows}


def one_beer_after_another(house: Brewhouse) -> Event:
    """Two worts lie in FV1, one after the other; return the event that brought the second."""
    house.stock_up()
    for number, hours in ((1, 1), (2, 60)):
        brew = house.start_brew(f"B{number}", hours=hours)
        house.draw(brew, ("M1", "SILO1", "200 kg"), hours=hours)
        knocked_out = house.knock_out(brew, f"W{number}", {"FV1": "1000 L"}, hours=hours + 8)
        if number == 1:
            house.transfer("FV1", "FV2", "1000 L", hours=50)
            house.clean("FV1", hours=51)
    return knocked_out


def test_beers_that_followed_one_another_in_a_vessel_are_in_order(brewhouse: Brewhouse):
    one_beer_after_another(brewhouse)
    assert found() == {}


def test_two_lots_that_once_lay_in_one_vessel_are_found_though_they_no_longer_do(brewhouse: Brewhouse):
    second = one_beer_after_another(brewhouse)
    triggers.drop_all(connection)
    Event.objects.filter(pk=second.pk).update(happened_at=at(40))
    told = found()
    assert told["a_vessel_holds_one_lot"] == [("location", Location.objects.get(code="FV1").pk)]
