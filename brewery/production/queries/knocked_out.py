"""What a knock-out left: its wort lot, where it went, and what was lost; and the tanks that can take wort."""

from dataclasses import dataclass

from django.db.models import QuerySet

from brewery.production.models import Brew
from inventory.models import Event, Location, Lot, Material, Posting
from inventory.queries.vessels import VesselState, in_service, states_at


@dataclass(frozen=True)
class Filled:
    """Wort that went into one tank; `contents` is the new lot where the tank held something before."""

    vessel: Location
    quantity_micro: int
    contents: Lot | None


@dataclass(frozen=True)
class KnockedOut:
    """A knock-out that stands. `waiting_micro` is wort whose blending into an occupied tank has been reversed."""

    event: Event
    wort: Lot
    fills: tuple[Filled, ...]
    loss_micro: int
    waiting_micro: int

    @property
    def loss_pct(self) -> float:
        """The loss in per cent of the cold wort."""
        return 100 * self.loss_micro / self.wort.made_micro


@dataclass(frozen=True)
class Tank:
    """One tank with what it holds. `room_micro` is None where nobody wrote down what it takes in litres.

    `residue` is what an empty tank held last, where it was not cleaned since and must be.
    """

    vessel: Location
    held: Lot | None
    held_micro: int
    residue: Lot | None = None

    @property
    def room_micro(self) -> int | None:
        """What still goes in, in microlitres."""
        if self.vessel.capacity_micro is None or self.vessel.capacity_unit != "L":
            return None
        return max(0, self.vessel.capacity_micro - self.held_micro)


def knocked_out(brew: Brew) -> KnockedOut | None:
    """Return what the knock-out of the brew left, or None where it is not knocked out."""
    wort = _wort_of(brew)
    if wort is None or wort.made_by is None:
        return None
    rows = list(_counted(Posting.objects.filter(event=wort.made_by, lot=wort)).select_related("to_location"))
    blends = blends_of(brew)
    fills = [
        Filled(row.to_location, row.quantity_micro, None) for row in rows if row.to_location.kind in Location.TANKS
    ]
    fills += [_blended(blend, wort) for blend in blends]
    sent = sum(row.quantity_micro for row in rows if row.to_location_id == brew.location_id)
    blended = sum(fill.quantity_micro for fill in fills if fill.contents)
    loss = sum(row.quantity_micro for row in rows if row.to_location.kind == Location.Kind.LOSS)
    in_order = sorted(fills, key=lambda fill: fill.vessel.code)
    return KnockedOut(wort.made_by, wort, tuple(in_order), loss, sent - blended)


def blends_of(brew: Brew) -> list[Event]:
    """Return the events, reversed ones aside, that made another lot of the brew's wort in a tank; the last first.

    The tank was occupied, or it was not cleaned and other tanks were filled besides.
    """
    kinds = (Event.Kind.BLEND, Event.Kind.TRANSFER)
    blended = Posting.objects.filter(from_location=brew.location, event__kind__in=kinds)
    rows = Event.objects.filter(pk__in=_counted(blended).values("event"))
    return list(rows.prefetch_related("made_lots", "postings__to_location").order_by("-pk"))


def tanks() -> list[Tank]:
    """Return every tank in service with its contents, empty ones first, fermenters first; one set of queries."""
    states = states_at(in_service(Location.objects.tanks()).order_by("code"))
    found = [_tank(state) for state in states.values()]
    return sorted(found, key=lambda tank: (tank.held is not None, tank.vessel.kind != Location.Kind.FERMENTER))


def usual_wort_of(brew: Brew) -> Material | None:
    """Return the wort that the last brew of the same beer became, or the only wort there is."""
    others = Brew.objects.filter(beer=brew.beer).values("location")
    knock_outs = Posting.objects.filter(from_location__in=others, event__kind=Event.Kind.KNOCK_OUT)
    lots = Lot.objects.filter(made_by__in=_counted(knock_outs).values("event"), material__kind=Material.Kind.WORT)
    last = lots.select_related("material").order_by("-pk").first()
    worts = [last.material] if last else list(Material.objects.filter(kind=Material.Kind.WORT)[:2])
    return worts[0] if len(worts) == 1 else None


def _wort_of(brew: Brew) -> Lot | None:
    knock_outs = Posting.objects.filter(from_location=brew.location, event__kind=Event.Kind.KNOCK_OUT)
    rows = Lot.objects.filter(made_by__in=_counted(knock_outs).values("event"), material__kind=Material.Kind.WORT)
    return rows.select_related("material", "made_by__actor").first()


def _counted(postings: QuerySet[Posting]) -> QuerySet[Posting]:
    return postings.filter(event__reversed_by=None)


def _blended(blend: Event, wort: Lot) -> Filled:
    """Return how the wort went into an occupied tank; a blend makes one lot, in one tank."""
    (contents,) = blend.made_lots.all()
    postings = list(blend.postings.all())
    (vessel,) = {row.to_location for row in postings if row.lot_id == contents.pk}
    return Filled(vessel, sum(row.quantity_micro for row in postings if row.lot_id == wort.pk), contents)


def _tank(state: VesselState) -> Tank:
    held = state.contents[0].lot if state.contents else None
    return Tank(state.vessel, held, state.held_micro, state.residue)
