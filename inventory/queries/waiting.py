"""Lots that wait for quality: what they are, where they lie, why they wait, and what stands against a release."""

from dataclasses import dataclass
from datetime import date

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from inventory.models import Balance, Decision, Lot
from inventory.models.dispositions import Disposition
from inventory.queries.judgements import Judgement, judgements_of

MOST_SHOWN = 200
"""Lots on one page; what is decided on makes room for the next."""

HELD_BACK = (Disposition.QUARANTINED, Disposition.ON_HOLD, Disposition.REJECTED)


@dataclass(frozen=True)
class Waiting:
    """One lot that is not released and still lies in the brewery."""

    lot: Lot
    on_hand_micro: int
    places: str
    decision: Decision | None
    judgement: Judgement

    @property
    def reason(self) -> str:
        """Why it waits: what was decided last, or what it came in as."""
        if self.decision:
            return self.decision.reason
        if self.lot.material.arrives == Disposition.ON_HOLD:
            return "Came in: quality looks at every lot of this."
        if self.judgement.asked:
            return "Came in: waits for a certificate."
        return "Came in: no limits are set that a certificate could keep, so quality decides."

    @property
    def against(self) -> list[str]:
        """What of its certificates stands against a release, but for what the reason says already."""
        if not any(finding.value for finding in self.judgement.findings):
            return []
        return [fault.sentence for fault in self.judgement.faults if fault.sentence not in self.reason]

    @property
    def may_go_back(self) -> bool:
        """Whether it can be sent back to its supplier."""
        return self.lot.disposition == Disposition.REJECTED and self.lot.supplier_id is not None


def lots_held_back(disposition: str = "", material: str = "") -> QuerySet[Lot]:
    """Return the lots that are not released and of which something lies in the brewery, the oldest first."""
    held = Balance.objects.inside()
    lots = Lot.objects.filter(reversed_by=None, disposition__in=[disposition] if disposition else HELD_BACK)
    lots = lots.filter(Exists(held.filter(lot=OuterRef("pk"))))
    if material:
        lots = lots.filter(material__code=material)
    lots = lots.select_related("material", "supplier").order_by("made_at", "pk")
    return lots.prefetch_related(
        Prefetch("balances", held.select_related("location").order_by("location__code")),
        Prefetch("decisions", Decision.objects.select_related("actor").order_by("pk")),
    )


def waiting(lots: QuerySet[Lot], today: date) -> list[Waiting]:
    """Return the lots with all that quality needs to know, as many as one page shows."""
    found = list(lots[:MOST_SHOWN])
    judgements = judgements_of(found, today)
    return [_waiting(lot, judgements[lot.pk]) for lot in found]


def _waiting(lot: Lot, judgement: Judgement) -> Waiting:
    balances = list(lot.balances.all())
    decisions = list(lot.decisions.all())
    return Waiting(
        lot,
        sum(balance.quantity_micro for balance in balances),
        ", ".join(balance.location.name for balance in balances),
        decisions[-1] if decisions else None,
        judgement,
    )
