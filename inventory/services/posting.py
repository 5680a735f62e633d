"""The one writer of the ledger: events with their postings, links and new lots, all or nothing.

A service opens `recording`, says what moved, and leaves; the rules are checked and the rows written on the way out.
The lots that an event takes from are locked on the way in, in the order of their ids, so two people never wait for
each other in a circle and nothing changes between a check and its write.
"""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from uuid import UUID

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_zone, now
from brewery.kernel.database.sets import AT_ONCE, portions
from brewery.kernel.errors import NotAllowed
from brewery.kernel.models import User
from inventory.models import Balance, Contact, Event, Link, Location, Lot, Material, Party, Posting, UncleanFill
from inventory.services import checks, filling, holds, layers
from inventory.services.refusals import LotCodeTaken
from inventory.services.reserved import refuse_reserved


@dataclass(frozen=True)
class LotFacts:
    """What is known of a lot when it is made, besides how much of it there is."""

    supplier: Party | None = None
    supplier_lot: str = ""
    best_before: date | None = None
    generation: int | None = None
    crop_year: int | None = None
    package_micro: int | None = None


@dataclass(frozen=True)
class NewLot:
    """A lot to be made: its code, its material, how much of it there is, and what is known of it."""

    code: str
    material: Material
    made_micro: int
    facts: LotFacts = LotFacts()


@dataclass
class Recording:
    """One event being put together: what moves, what is made of what."""

    event: Event
    locked: dict[int, Lot]
    held: dict[tuple[int, int], int]
    postings: dict[tuple[int, int, int], Posting] = field(default_factory=dict)
    links: list[Link] = field(default_factory=list)
    made: list[Lot] = field(default_factory=list)
    unclean_reason: str = ""

    def lot(self, lot: Lot) -> Lot:
        """Return the locked row of `lot`, fresh from the database."""
        return self.locked[lot.pk]

    def held_micro(self, lot: Lot, location: Location) -> int:
        """Return what `location` holds of the locked `lot`."""
        return self.held.get((lot.pk, location.pk), 0)

    def post(self, lot: Lot, *, from_: Location, to: Location, quantity_micro: int) -> None:
        """Move a quantity of one lot. The same way twice adds up. Raises InvalidInput unless it is above zero."""
        checks.refuse_not_positive(quantity_micro, "quantity", lot.material.base_unit)
        key = (lot.pk, from_.pk, to.pk)
        if key in self.postings:
            self.postings[key].quantity_micro += quantity_micro
            return
        self.postings[key] = Posting(
            event=self.event, lot=lot, from_location=from_, to_location=to, quantity_micro=quantity_micro
        )

    def make(self, code: str, material: Material, made_micro: int, facts: LotFacts = LotFacts()) -> Lot:
        """Make a new lot under `code`; the caller posts it to where it lies and links it to its parents."""
        (lot,) = self.make_all([NewLot(code, material, made_micro, facts)])
        return lot

    def make_all(self, new: Sequence[NewLot]) -> list[Lot]:
        """Make new lots, in that order. Raises LotCodeTaken, InvalidInput."""
        refuse_taken_codes([one.code for one in new])
        lots = [self._new_lot(one) for one in new]
        for lot in lots:
            checks.refuse_bad_lot(lot)
        Lot.objects.bulk_create(lots, batch_size=AT_ONCE)
        self.made.extend(lots)
        return lots

    def _new_lot(self, new: NewLot) -> Lot:
        return Lot(
            code=new.code,
            material=new.material,
            made_by=self.event,
            made_at=self.event.happened_at,
            made_micro=new.made_micro,
            disposition=new.material.arrives,
            supplier=new.facts.supplier,
            supplier_lot=new.facts.supplier_lot,
            best_before=new.facts.best_before or self._keeps_until(new.material),
            generation=new.facts.generation,
            crop_year=new.facts.crop_year,
            package_micro=new.facts.package_micro,
        )

    def _keeps_until(self, material: Material) -> date | None:
        """Return the day up to which the material keeps by its shelf life, if it has one."""
        if material.shelf_life_days is None:
            return None
        return self.event.happened_at.astimezone(brewery_zone()).date() + timedelta(days=material.shelf_life_days)

    def link(self, parent: Lot, child: Lot, *, quantity_micro: int, kind: Link.Kind = Link.Kind.INGREDIENT) -> None:
        """Say that a quantity of `parent` went across into `child`. The same pair and kind twice adds up."""
        for link in self.links:
            if (link.parent_id, link.child_id, link.kind) == (parent.pk, child.pk, kind):
                link.quantity_micro += quantity_micro
                return
        self.links.append(Link(event=self.event, parent=parent, child=child, kind=kind, quantity_micro=quantity_micro))

    def write(self) -> None:
        """Check every rule, then write. Raises the refusals of `checks`."""
        postings = list(self.postings.values())
        checks.refuse_before_their_lots(self.event, [posting.lot for posting in postings])
        checks.refuse_unreleased(self.event, postings)
        checks.refuse_more_than_is_there(postings, self.held)
        refuse_reserved(self.event, postings)
        checks.refuse_a_second_lot(postings)
        checks.refuse_over_capacity(postings)
        checks.refuse_more_than_was_there_then(self.event, postings)
        checks.refuse_a_second_lot_then(self.event, postings)
        unclean = filling.unclean_fills(self.event, postings, self.made, self.unclean_reason)
        self.links += filling.carryover_of(unclean, postings, self.links)
        contacts = layers.contacts_of(self.event, postings)
        # What leaves the stock goes first, so that a vessel is free before its new contents come in.
        Posting.objects.bulk_create(
            sorted(postings, key=lambda posting: posting.to_location.is_inside), batch_size=AT_ONCE
        )
        links = [*self.links, *layers.residue_links(self.event, self.links, contacts)]
        parents = self._locked_parents(links)
        Link.objects.bulk_create(links)
        Contact.objects.bulk_create(contacts)
        UncleanFill.objects.bulk_create(unclean)
        holds.pass_on(self.event, links, parents)

    def _locked_parents(self, links: Sequence[Link]) -> dict[int, Lot]:
        """Return the parents by their ids, those locked now that only passed a residue on: so no hold slips past."""
        known = self.locked | {lot.pk: lot for lot in self.made}
        others = {link.parent_id for link in links} - known.keys()
        return known | locked_rows(others) if others else known


@contextmanager
def recording(
    kind: Event.Kind,
    *,
    actor: User,
    request_id: UUID,
    happened_at: datetime,
    uses: Iterable[Lot] = (),
    reference: str = "",
    reason: str = "",
    override_reason: str = "",
    unclean_reason: str = "",
    reverses: Event | None = None,
) -> Iterator[Recording]:
    """Write one event around what the caller says in between; must stand inside a transaction.

    `uses` are the lots that exist already and take part; they are locked first. `unclean_reason` says why a vessel is
    filled that was not cleaned since its last use. Raises InTheFuture, NotAllowed for an
    override without the right, and the refusals of `checks`.
    """
    checks.refuse_the_future(happened_at)
    recorded_at = now()
    if override_reason and not actor.has_right(Right.OVERRIDE):
        raise NotAllowed(person=actor, right=Right.OVERRIDE, field="override_reason")
    locked = lock_lots(uses)
    event = Event.objects.create(
        kind=kind,
        happened_at=happened_at,
        recorded_at=recorded_at,
        actor=actor,
        request_id=request_id,
        reference=reference,
        reason=reason,
        override_reason=override_reason,
        reverses=reverses,
    )
    checks.refuse_mistakes(event, locked.values())
    record = Recording(event, locked, held_balances(locked), unclean_reason=unclean_reason)
    yield record
    record.write()


def codes_taken(codes: Sequence[str]) -> set[str]:
    """Return those of the codes that a lot bears."""
    taken: set[str] = set()
    for portion in portions(codes):
        taken.update(Lot.objects.filter(code__in=portion, reversed_by=None).values_list("code", flat=True))
    return taken


def refuse_taken_codes(codes: Sequence[str]) -> None:
    """Raise LotCodeTaken for the first code that a lot bears, or that comes twice."""
    taken = codes_taken(codes)
    for code in codes:
        if code in taken:
            raise LotCodeTaken(lot=code, field="code")
        taken.add(code)


def lock_lots(lots: Iterable[Lot]) -> dict[int, Lot]:
    """Lock the lots, in the order of their ids, and return them fresh. Their balances stay still until the end."""
    return locked_rows(lot.pk for lot in lots)


def locked_rows(keys: Iterable[int]) -> dict[int, Lot]:
    """As `lock_lots`, by their ids."""
    locked: dict[int, Lot] = {}
    for portion in portions(sorted(set(keys))):
        rows = Lot.objects.filter(pk__in=portion).order_by("pk").select_for_update(of=("self",))
        locked.update({lot.pk: lot for lot in rows.select_related("material")})
    return locked


def held_balances(lots: Iterable[int]) -> dict[tuple[int, int], int]:
    """Return what lies where of the lots with these ids, by lot and location."""
    rows = Balance.objects.filter(lot__in=list(lots)).values_list("lot", "location", "quantity_micro")
    return {(lot, location): quantity for lot, location, quantity in rows}
