"""Two people pick the last kegs that expire first at once. On PostgreSQL, where both really do."""

import pytest

from brewery.kernel.errors import DomainError
from brewery.production.models import Pick
from brewery.production.services.dispatch_refusals import NotFreeToPick
from inventory.models import Reservation
from tests.brewhouse import Brewhouse, micro
from tests.concurrency.test_last_sack import side_by_side
from tests.production.dispatching import kegs, ordered, picked

pytestmark = [pytest.mark.postgres, pytest.mark.django_db(transaction=True)]


def test_one_gets_the_last_pallet_and_the_other_is_told_of_another_lot(brewhouse: Brewhouse):
    kegs(brewhouse, "SOON", 10, keeps=40)
    kegs(brewhouse, "LATE", 20, keeps=100)
    orders = [ordered(brewhouse, 10, "O1"), ordered(brewhouse, 10, "O2")]

    def work(number: int) -> object:
        try:
            return picked(brewhouse, orders[number], "SOON", 10)
        except DomainError as refusal:
            return refusal

    made = side_by_side(2, work)
    (got,) = (one for one in made if isinstance(one, Pick))
    (told,) = (one for one in made if isinstance(one, NotFreeToPick))
    assert got.count == 10
    assert str(told) == (
        "Of lot SOON in Cold store, 0 can be picked; 10 were asked for. Pick instead: 10 of lot LATE in Cold store."
    )
    (kept,) = Reservation.objects.filter(let_go_at=None)
    assert (kept.purpose, kept.quantity_micro) == (got.line.order.number, micro("10 each"))
