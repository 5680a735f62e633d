"""What a way through the ledger is in the words of business steps and dispositions (CBV 2.0, sections 7.1 and 7.2)."""

from dataclasses import dataclass

from inventory.models import Location

Kind = Location.Kind


@dataclass(frozen=True)
class Told:
    """How EPCIS tells a move: which event, which action, why, and in what state the goods are then."""

    action: str
    step: str
    disposition: str = ""
    type: str = "ObjectEvent"
    comes_in: bool = False
    goes_out: bool = False

    @property
    def begins(self) -> bool:
        """Whether master data may go with it."""
        return self.type == "ObjectEvent" and self.action == "ADD"


PACKED = Told("ADD", "packing", "in_progress", type="AggregationEvent")
UNPACKED = Told("DELETE", "unpacking", "in_progress", type="AggregationEvent")
STORED = Told("OBSERVE", "storing", "in_progress")

_INTO = {
    Kind.CUSTOMER: Told("OBSERVE", "shipping", "in_transit", goes_out=True),
    Kind.SENT_BACK: Told("OBSERVE", "shipping", "returned", goes_out=True),
    Kind.DESTROYED: Told("DELETE", "destroying", "destroyed"),
    Kind.LOSS: Told("DELETE", "other", "inactive"),
    Kind.COUNT_DIFFERENCE: Told("DELETE", "stock_taking", "unknown"),
    Kind.LABORATORY: Told("OBSERVE", "sampling", "in_progress"),
    Kind.PALLET: PACKED,
    Kind.PROCESS: Told("OBSERVE", "picking", "in_progress"),
}
_OUT_OF = {
    Kind.SUPPLIER: Told("ADD", "receiving", "in_progress", comes_in=True),
    Kind.CUSTOMER: Told("OBSERVE", "receiving", "returned", comes_in=True),
    Kind.COUNT_DIFFERENCE: Told("ADD", "stock_taking", "in_progress"),
}


def told_of(from_: Location, to: Location) -> Told:
    """Return how EPCIS tells that goods went from one place of the ledger to another."""
    if told := _OUT_OF.get(Kind(from_.kind)):
        return told
    if from_.kind == Kind.PALLET and to.kind in Location.STOCK and to.kind != Kind.PALLET:
        return UNPACKED
    return _INTO.get(Kind(to.kind), STORED)
