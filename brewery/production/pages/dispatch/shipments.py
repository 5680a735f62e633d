"""One shipment: what went, on which pallets, who drove it, and its delivery note."""

from typing import Any, ClassVar

from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import moment_text
from brewery.production.models import Shipment
from brewery.production.queries.delivery_notes import lines_shipped, shipments


class ShipmentPage(Page):
    """One shipment, to be looked at."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/dispatch/shipment.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        shipment = shipments().filter(event=self.kwargs["event"]).first()
        if shipment is None:
            raise Http404("There is no such shipment.")
        return super().get_context_data(
            shipment=shipment,
            facts=_facts_of(shipment),
            lines=lines_shipped(shipment.event),
            is_reversed=hasattr(shipment.event, "reversed_by"),
            **kwargs,
        )


def _facts_of(shipment: Shipment) -> list[Fact]:
    event, order = shipment.event, shipment.order
    facts = [Fact("Left", moment_text(event.happened_at)), Fact("Recorded by", event.actor.get_username())]
    for posting in event.postings.all()[:1]:
        place = posting.to_location
        address = reverse("customer", args=[place.party_id]) if place.party_id else ""
        facts.insert(0, Fact("Customer", place.name, address))
    if order:
        facts.append(Fact("Order", order.number, reverse("customer-order", args=[order.pk])))
    papers = {
        "Carrier": shipment.carrier,
        "Vehicle": shipment.vehicle,
        "Driver": shipment.driver,
        "Seal": shipment.seal,
        "Why it went though it keeps shorter than asked": shipment.short_life_reason,
    }
    return facts + [Fact(label, words) for label, words in papers.items() if words]
