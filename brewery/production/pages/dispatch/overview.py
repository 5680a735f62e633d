"""Where dispatch begins: what is to go, the late ones first, what went today, and what came back."""

from datetime import datetime, time
from typing import Any, ClassVar

from django.http import Http404, HttpRequest, HttpResponse
from django.utils import timezone
from django.utils.http import content_disposition_header

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.writing import WritingPage
from brewery.production.models import Shipment
from brewery.production.printing.delivery_notes import note_as_pdf
from brewery.production.queries.customer_orders import orders_to_ship
from brewery.production.queries.delivery_notes import shipments
from brewery.production.queries.returned import lines_of, returns_in_full


class DispatchPage(WritingPage):
    """Orders by the day they are wanted, and what was shipped today."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.DISPATCH
    template_name = "production/dispatch/overview.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        today = timezone.localdate()
        waiting = [line for back in returns_in_full() for line in lines_of(back) if line.undecided]
        return super().get_context_data(
            rows=[{"progress": one, "is_late": one.is_late(today)} for one in orders_to_ship()],
            shipped=[shown_shipment(one) for one in shipments().filter(event__happened_at__gte=_midnight())],
            undecided=sum(line.undecided for line in waiting),
            may_write=self.may_write,
            **kwargs,
        )


class DeliveryNotePage(Page):
    """The delivery note of a shipment, to be printed."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    def get(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Answer the PDF. Raises Http404."""
        shipment = shipments().filter(event=kwargs["event"]).first()
        if shipment is None:
            raise Http404("There is no such shipment.")
        name = content_disposition_header(False, f"{shipment.note_number}.pdf") or "inline"
        pdf = note_as_pdf(shipment)
        return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})


def shown_shipment(shipment: Shipment) -> dict[str, Any]:
    """Return what a table shows of a shipment of `shipments`."""
    postings = list(shipment.event.postings.all())
    return {
        "shipment": shipment,
        "customer": postings[0].to_location.name if postings else "",
        "lots": ", ".join(dict.fromkeys(posting.lot.code for posting in postings)),
        "is_reversed": hasattr(shipment.event, "reversed_by"),
    }


def _midnight() -> datetime:
    return datetime.combine(brewery_day(), time(), brewery_zone())
