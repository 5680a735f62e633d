"""Short ways to say what dispatch does: kegs in the stores, orders, picks, shipments and returns."""

from datetime import date, timedelta
from typing import Any

from brewery.kernel.clock import brewery_day, now
from brewery.production.models import CustomerOrder, CustomerReturn, Pick
from brewery.production.queries.customer_orders import OrderProgress, customer_orders, progress_of_order
from brewery.production.queries.picking import proposals_for
from brewery.production.services.customer_orders import WantedLine, enter_customer_order
from brewery.production.services.dispatch import ship_order, take_back
from brewery.production.services.picking import pick
from inventory.models import Event, LogisticUnit
from inventory.services.customers import ask_minimum_life
from inventory.services.pallets import load_pallet, make_pallet
from tests.brewhouse import Brewhouse, at


def in_days(days: int) -> date:
    return brewery_day() + timedelta(days=days)


def kegs(house: Brewhouse, lot: str, count: int, *, keeps: int | None, place: str = "COLD", **facts: Any) -> None:
    """So many kegs of the lot lie in the place and keep so many days from today."""
    good = None if keeps is None else in_days(keeps)
    house.deliver(facts.pop("material", "KEG50"), lot, f"{count} each", place, best_before=good, note=lot, **facts)


def pallet_of(house: Brewhouse, lot: str, count: int, *, place: str = "COLD") -> LogisticUnit:
    """A new pallet with so many of the lot stands in the place."""
    unit = make_pallet(stands_in=house.place(place), made_at=at(1), **house.by("receiving"))
    parts = house.parts([(lot, place, f"{count} each")])
    load_pallet(unit=unit, parts=parts, happened_at=at(2), **house.by("receiving"))
    return unit


def ordered(house: Brewhouse, count: int, number: str = "O1", days: int = 2, **facts: Any) -> CustomerOrder:
    """The inn wants so many kegs in so many days."""
    asked = {"customer": house.party("INN"), "wanted_on": in_days(days), **facts}
    asked.setdefault("lines", [WantedLine(house.material("KEG50"), count)])
    return enter_customer_order(number=number, **asked, **house.by("receiving"))


def picked(house: Brewhouse, order: CustomerOrder, lot: str, count: int, place: str = "COLD", **facts: Any) -> Pick:
    asked = {"order": order, "lot": house.lot(lot), "location": house.place(place), "count": count}
    return pick(**asked, **facts, **house.by("receiving"))


def shipped(house: Brewhouse, order: CustomerOrder, note: str = "DN1", **facts: Any) -> Event:
    asked = {"order": order, "note_number": note, "happened_at": now(), **house.by("receiving")}
    return ship_order(**{**asked, **facts})


def asks_for(house: Brewhouse, days: int | None, material: str | None = None) -> None:
    """The inn asks that its beer keeps so long."""
    asked = {"party": house.party("INN"), "days": days, "material": house.material(material) if material else None}
    ask_minimum_life(**asked, **house.by("administration"))


def came_back(house: Brewhouse, lot: str, count: int, place: str = "STORE", cause: str = "unsold") -> CustomerReturn:
    """So many kegs of the lot came back from the inn."""
    event = take_back(
        customer=house.party("INN"),
        parts=house.parts([(lot, place, f"{count} each")]),
        reason="told by the landlord",
        cause=cause,
        happened_at=now(),
        **house.by("receiving"),
    )
    return CustomerReturn.objects.get(event=event)


def progress(order: CustomerOrder) -> OrderProgress:
    return progress_of_order(customer_orders().get(pk=order.pk))


def proposed(order: CustomerOrder) -> list[tuple[str, str, int]]:
    """What is proposed for all lines of the order: lot, place, count."""
    return [
        (way.lot.code, way.location.code, way.count)
        for proposal in proposals_for(progress(order))
        for way in proposal.lines
    ]


def left_out(order: CustomerOrder) -> dict[str, str]:
    """Which lots are not proposed, and why."""
    return {one.lot.code: one.reason for proposal in proposals_for(progress(order)) for one in proposal.left_out}
