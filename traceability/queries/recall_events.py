"""What happened to the affected lots of a recall: every posting of theirs, and what else went into them.

The kinds are the critical tracking events of 21 CFR 1.1320 to 1.1350, and the columns their key data elements. Beer,
malt, hops and yeast are not on the list of foods that this rule is for; its words are used as a yardstick.
"""

from collections.abc import Collection
from dataclasses import dataclass
from enum import StrEnum

from django.conf import settings
from django.db.models import Q, QuerySet

from brewery.kernel.database.sets import portions
from inventory.models import Event, Location, Lot, Posting


class Tracking(StrEnum):
    """Which critical tracking event it is; the last three are none of the rule's."""

    RECEIVING = "receiving"
    USED = "transformation: used"
    MADE = "transformation: made"
    SHIPPING = "shipping"
    CAME_BACK = "receiving: came back"
    SENT_BACK = "shipping: back to its supplier"
    WITHIN = "within the brewery"
    REVERSAL = "reversal of a mistake"


@dataclass(frozen=True)
class LotEvent:
    """One way that one lot went in one event; `is_affected` is false of what else went into an affected lot."""

    posting: Posting
    is_affected: bool

    @property
    def event(self) -> Event:
        """What happened."""
        return self.posting.event

    @property
    def lot(self) -> Lot:
        """Of which lot."""
        return self.posting.lot

    @property
    def tracking(self) -> Tracking:
        """Which critical tracking event it is, told by where the lot came from and went to."""
        if self.event.kind == Event.Kind.REVERSE:
            return Tracking.REVERSAL
        came, went = self.posting.from_location.kind, self.posting.to_location.kind
        return _CAME.get(came) or _WENT.get(went) or Tracking.WITHIN

    @property
    def code_given_by(self) -> str:
        """Who gave the lot the code that its maker knows it by: the supplier, or this brewery."""
        return self.lot.supplier.name if self.lot.supplier else settings.BREWERY_NAME

    @property
    def paper(self) -> tuple[str, str]:
        """The kind and number of the paper that it refers to; without any, its own place in this record."""
        if (delivery := getattr(self.event, "delivery", None)) and delivery.note_number:
            return "delivery note of the supplier", delivery.note_number
        if shipment := getattr(self.event, "shipment", None):
            return "delivery note", shipment.note_number
        if self.event.reference:
            return "reference", self.event.reference
        return "event of this record", str(self.event.pk)

    @property
    def undone(self) -> str:
        """The number of the event that reversed it, if any did."""
        later = getattr(self.event, "reversed_by", None)
        return str(later.pk) if later else ""


_CAME = {
    Location.Kind.SUPPLIER.value: Tracking.RECEIVING,
    Location.Kind.TRANSFORMED.value: Tracking.MADE,
    Location.Kind.CUSTOMER.value: Tracking.CAME_BACK,
}
_WENT = {
    Location.Kind.TRANSFORMED.value: Tracking.USED,
    Location.Kind.CUSTOMER.value: Tracking.SHIPPING,
    Location.Kind.SENT_BACK.value: Tracking.SENT_BACK,
}


def events_of(lots: Collection[Lot]) -> list[LotEvent]:
    """Return every posting of the lots, and of what else went into them in the events that made them, by time."""
    keys = {lot.pk for lot in lots}
    found: dict[int, Posting] = {}
    for portion in portions(sorted(keys)):
        found.update({row.pk: row for row in _told().filter(lot__in=portion)})
    went_in = Q(to_location__kind=Location.Kind.TRANSFORMED)
    for portion in portions(sorted({lot.made_by_id for lot in lots})):
        found.update({row.pk: row for row in _told().filter(went_in, event__in=portion)})
    rows = sorted(found.values(), key=lambda row: (row.event.happened_at, row.event_id, row.pk))
    return [LotEvent(row, row.lot_id in keys) for row in rows]


def _told() -> QuerySet[Posting]:
    papers = ("actor", "delivery", "shipment", "reversed_by", "reverses")
    return Posting.objects.select_related(
        *(f"event__{name}" for name in papers),
        "lot__material",
        "lot__supplier",
        "from_location__party",
        "to_location__party",
    )
