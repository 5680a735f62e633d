"""One of each thing that an address names, so that every address can be asked for."""

from datetime import date

from brewery.production.models import CustomerReturn, Shipment
from inventory.models import Delivery, DeliveryLine
from inventory.services.attachments import keep_file
from inventory.services.certificates import Measured, enter_certificate
from inventory.services.count_sheets import open_count
from inventory.services.orders import OrderedLine, enter_order
from inventory.services.pallets import make_pallet
from tests.api.chain import SSCC
from tests.brewhouse import START, Brewhouse, at, micro
from tests.inventory.papers import PDF
from tests.inventory.stockroom import keep
from tests.production.dispatching import ordered
from tests.production.sheets import draft
from traceability.services.duty_periods import close_period
from traceability.services.holds import place_hold
from traceability.services.recalls import open_recall


def keys_of_things(house: Brewhouse) -> dict[str, int]:
    """Return the keys by the names that the access table's addresses use; the house has brewed its whole chain."""
    delivery = Delivery.objects.create(
        supplier=house.party("HOPYARD"),
        arrived_at=at(0),
        opened_at=at(0),
        changed_at=at(0),
        opened_by=house.people["receiving"],
    )
    line = DeliveryLine.objects.create(delivery=delivery, position=1, material=house.material("SAAZ"), lot_code="H9")
    stands_in = house.place("STORE")
    make_pallet(sscc=SSCC, stands_in=stands_in, made_at=at(1), **house.by("receiving"))
    paper = keep_file(content=PDF, name="note.pdf", delivery=delivery, **house.by("receiving"))
    certificate = enter_certificate(lot=house.lot("M1"), values=[Measured("moisture", "4.5")], **house.by("receiving"))
    order = enter_order(
        number="PO-1",
        supplier=house.party("HOPYARD"),
        ordered_on=START.date(),
        lines=[OrderedLine(house.material("SAAZ"), micro("20 kg"), START.date())],
        **house.by("receiving"),
    )
    hold = place_hold(lots=[house.lot("F1")], follow=["culture"], reason="cloudy", **house.by("quality"))
    recall = open_recall(lots=[house.lot("F1")], hazard="cloudy", is_mock=True, **house.by("quality"))
    return {
        "recall": recall.pk,
        "task": recall.tasks.earliest("pk").pk,
        "hold": hold.pk,
        "duty": close_period(scheme="us", first=date(2026, 1, 1), last=date(2026, 1, 31), **house.by("accounting")).pk,
        "order": order.pk,
        "certificate": certificate.pk,
        "place": house.place("STORE").pk,
        "lot": house.lot("M1").pk,
        "yeast": house.lot("Y1").pk,
        "material": house.material("PILS").pk,
        "reservation": keep(house, "M1", "1 kg", "B9").pk,
        "count": open_count(location=house.place("COLD"), **house.by("receiving")).pk,
        "delivery": delivery.pk,
        "line": line.pk,
        "attachment": paper.pk,
        "sheet": draft(house).pk,
        "shipment": Shipment.objects.latest("pk").event_id,
        "customer_return": CustomerReturn.objects.latest("pk").pk,
        "customer_order": ordered(house, 2, "O-1").pk,
        "customer": house.party("INN").pk,
    }
