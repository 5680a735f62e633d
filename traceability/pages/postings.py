"""The postings and links that a figure of a lot is a sum of: all of them, those at one place, a part of its balance."""

from dataclasses import dataclass
from datetime import datetime
from typing import Any, ClassVar

from django.db.models import Q
from django.http import Http404

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.access import Page
from inventory.models import Link, Location, Lot
from inventory.queries.ledger import LedgerRow, ledger_of
from inventory.queries.registers import place_of
from traceability.pages.vertical_audit import lot_or_404
from traceability.queries.asking import moment
from traceability.queries.mass_balance import Entry, Whereabouts, mass_balance


@dataclass(frozen=True)
class Flow:
    """What came to a place and what left it, without what was reversed. Micro-units of the lot."""

    place: Location
    came_micro: int
    left_micro: int

    @property
    def lies_micro(self) -> int:
        """What is there."""
        return self.came_micro - self.left_micro


class LotFigures(Page, is_a_kind_of_page=True):
    """A page of one lot's figures, now or as of a moment."""

    right: ClassVar[Right] = Right.VIEW_RECORDS

    @property
    def as_of(self) -> datetime | None:
        """The moment that the address asks for. Raises Http404 for one that is none."""
        try:
            return moment(self.request.GET.get("as_of", ""))
        except DomainError as wrong:
            raise Http404(str(wrong)) from wrong


class PostingsPage(LotFigures):
    """Every posting and link of a lot, or with `?place=` the postings at that place."""

    template_name = "traceability/postings.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot, as_of = lot_or_404(kwargs["code"]), self.as_of
        place = self._place()
        ledger = [row for row in ledger_of(lot, as_of) if place is None or place.pk in _ends(row)]
        context = {
            "lot": lot,
            "as_of": as_of,
            "flow": _flow(place, ledger) if place else None,
            "ledger": ledger,
            "links": [] if place else links_of(lot, as_of),
        }
        return super().get_context_data(**context, **kwargs)

    def _place(self) -> Location | None:
        code = self.request.GET.get("place", "")
        place = place_of(code) if code else None
        if code and place is None:
            raise Http404(f"There is no place {code}.")
        return place


class BalancePartPage(LotFigures):
    """The lots and places that one line of a lot's mass balance sums up: `?where=` names the line."""

    template_name = "traceability/balance_part.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot, as_of, where = lot_or_404(kwargs["code"]), self.as_of, self.request.GET.get("where", "")
        if where and where not in list(Whereabouts):
            raise Http404(f"“{where}” is no line of a mass balance.")
        entries = [one for one in mass_balance(lot, as_of=as_of).entries if where in ("", one.whereabouts)]
        context: dict[str, Any] = {"lot": lot, "as_of": as_of, "where": where, "parts": _parts(entries)}
        context["whole_micro"] = sum(one.amount_micro for one in entries)
        return super().get_context_data(**context, **kwargs)


def links_of(lot: Lot, as_of: datetime | None) -> list[Link]:
    """Return all that went into the lot or came of it, the oldest first; with `as_of`, what had happened by then."""
    links = Link.objects.filter(Q(parent=lot) | Q(child=lot)).select_related("event", "parent__material", "child")
    if as_of:
        links = links.filter(event__happened_at__lte=as_of)
    return list(links.order_by("event__happened_at", "pk"))


def _ends(row: LedgerRow) -> tuple[int, int]:
    return row.from_location.pk, row.to_location.pk


def _flow(place: Location, ledger: list[LedgerRow]) -> Flow:
    counted = [row for row in ledger if not row.is_reversed]
    came = sum(row.quantity_micro for row in counted if row.to_location.pk == place.pk)
    return Flow(place, came, sum(row.quantity_micro for row in counted if row.from_location.pk == place.pk))


def _parts(entries: list[Entry]) -> list[dict[str, Any]]:
    lots = Lot.objects.select_related("material").in_bulk({one.lot for one in entries})
    places = Location.objects.in_bulk({one.location for one in entries if one.location})
    return [
        {
            "lot": lots[one.lot],
            "place": places[one.location] if one.location else None,
            "whereabouts": one.whereabouts.value,
            "amount_micro": one.amount_micro,
        }
        for one in sorted(entries, key=lambda one: (one.lot, one.location or 0))
    ]
