"""The vertical audit of one lot: every record that touches it, in order of time, with who wrote what down and when.

Each sort of record is asked for once, however many there are of it. What was reversed, withdrawn or corrected stays in
sight and says so.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator

from django.db.models import Q

from brewery.kernel.clock import on_the_wall
from brewery.production.models import (
    FilledTank,
    PackagingFill,
    Pick,
    ReturnOutcome,
    SampleDisposal,
    Substitution,
    TankReading,
)
from brewery.production.queries.tank_readings import in_words as reading_in_words
from inventory.models import (
    Certificate,
    Cleaning,
    CountLine,
    Decision,
    DeliveryChange,
    Link,
    Location,
    Lot,
    Posting,
    Reservation,
    UncleanFill,
    UnitMove,
)
from inventory.queries.layers import Flow
from inventory.queries.vessels import Stay, stays_told_by
from traceability.queries.audit_entries import Entry, Sort, of_event, undone_by, who
from traceability.queries.audited_care import attachments, brew_logs, holds, recalls, services
from traceability.queries.report import in_words


def record_of(lot: Lot) -> list[Entry]:
    """Return every record that touches the lot, the oldest first; always as many questions."""
    postings = list(_postings(lot))
    stays = _stays(postings)
    places = {row.to_location_id for row in postings}
    entries: list[Entry] = [_movement(row, lot) for row in postings]
    for told in (
        _papers(postings),
        _unit_moves(places),
        _links(lot),
        _decisions(lot),
        _certificates(lot),
        _readings(lot),
        _cleanings(stays),
        _unclean_fills(lot, {row.event_id for row in postings}),
        _delivery_changes(lot),
        _packaging(lot),
        _disposals(lot),
        _picks(lot),
        _outcomes(lot),
        _counts(lot),
        _reservations(lot),
        _substitutions(lot),
        brew_logs(lot),
        attachments(lot),
        services(stays),
        holds(lot),
        recalls(lot),
    ):
        entries += told
    return sorted(entries, key=lambda entry: (entry.happened_at, entry.recorded_at, entry.event or 0, entry.words))


def _postings(lot: Lot) -> Iterable[Posting]:
    """Return what moved the lot, each with the papers of its event."""
    related = ("delivery", "shipment", "customer_return", "retained_sample", "reversed_by", "actor")
    return (
        Posting.objects.filter(lot=lot)
        .select_related("from_location", "to_location", *(f"event__{name}" for name in related))
        .order_by("event__happened_at", "event", "pk")
    )


def _movement(row: Posting, lot: Lot) -> Entry:
    event = row.event
    what = " ".join(part for part in (event.get_kind_display(), event.reference) if part)
    amount = in_words(row.quantity_micro, lot.material.base_unit)
    override = f"Override: {event.override_reason}" if event.override_reason else ""
    why = " ".join(part for part in (event.reason, override) if part)
    return of_event(
        event, Sort.MOVEMENT, f"{what}: {amount} from {row.from_location.name} to {row.to_location.name}", why
    )


def _papers(postings: Iterable[Posting]) -> Iterator[Entry]:
    """Yield what came with a delivery, went with a shipment, was said of a return, or was kept as a sample; once."""
    for event in {row.event_id: row.event for row in postings}.values():
        if delivery := getattr(event, "delivery", None):
            told = {
                "delivery note": delivery.note_number,
                "carrier": delivery.carrier,
                "vehicle": delivery.vehicle,
                "condition": delivery.get_condition_display(),
                "": delivery.condition_note,
            }
            yield of_event(event, Sort.PAPERS, f"Delivery: {_told(told)}")
        if shipment := getattr(event, "shipment", None):
            told = {
                "delivery note": shipment.note_number,
                "carrier": shipment.carrier,
                "vehicle": shipment.vehicle,
                "driver": shipment.driver,
                "seal": shipment.seal,
            }
            yield of_event(event, Sort.PAPERS, f"Shipment: {_told(told)}", shipment.short_life_reason)
        if back := getattr(event, "customer_return", None):
            yield of_event(event, Sort.RETURN, f"Returned: {back.get_cause_display()}")
        if sample := getattr(event, "retained_sample", None):
            kept = f"{sample.count} kept until {sample.keep_until}" + (
                f", shelf {sample.shelf}" if sample.shelf else ""
            )
            yield of_event(event, Sort.SAMPLE, kept)


def _told(facts: dict[str, str]) -> str:
    return ", ".join(f"{label} {words}".strip() for label, words in facts.items() if words) or "nothing more on record"


def _stays(postings: Iterable[Posting]) -> dict[int, list[Stay]]:
    """Return by vessel from when until when the lot lay in it; what was reversed never happened."""
    flows: dict[int, list[Flow]] = defaultdict(list)
    for row in postings:
        event = row.event
        if event.reverses_id or undone_by(event):
            continue
        for place, sign in ((row.from_location, -1), (row.to_location, 1)):
            if place.kind in Location.VESSELS:
                quantity = sign * row.quantity_micro
                flows[place.pk].append(Flow(event.pk, event.happened_at, event.kind, row.lot_id, quantity))
    return {vessel: stays_told_by(told) for vessel, told in flows.items()}


def _cleanings(stays: dict[int, list[Stay]]) -> Iterator[Entry]:
    """Yield of each vessel the last cleaning before the lot came, those while it was there, and the first after."""
    by_vessel: dict[int, list[Cleaning]] = defaultdict(list)
    rows = Cleaning.objects.filter(vessel__in=stays, withdraws=None).select_related("vessel", "actor", "withdrawn_by")
    for row in rows.order_by("happened_at", "pk"):
        by_vessel[row.vessel_id].append(row)
    shown = {row.pk: row for vessel, told in stays.items() for stay in told for row in _around(by_vessel[vessel], stay)}
    for row in shown.values():
        withdrawn = getattr(row, "withdrawn_by", None)
        undone = f"withdrawn on {on_the_wall(withdrawn.recorded_at)}: {withdrawn.remark}" if withdrawn else ""
        words = f"{row.vessel.name} cleaned: {row.programme}"
        yield Entry(row.happened_at, row.recorded_at, Sort.CLEANING, words, who(row.actor), row.remark, undone)


def _around(cleanings: list[Cleaning], stay: Stay) -> list[Cleaning]:
    before = [row for row in cleanings if row.happened_at <= stay.since]
    standing = [row for row in before if not hasattr(row, "withdrawn_by")][-1:]
    since = standing[0].happened_at if standing else stay.since
    found = [row for row in cleanings if row.happened_at >= since and (not stay.until or row.happened_at < stay.until)]
    return found + [row for row in cleanings if stay.until and row.happened_at >= stay.until][:1]


def _unclean_fills(lot: Lot, events: set[int]) -> Iterator[Entry]:
    rows = UncleanFill.objects.filter(Q(event__in=events) | Q(before=lot))
    for row in rows.select_related("vessel", "before", "event__actor", "event__reversed_by"):
        words = f"{row.vessel.name} was filled without being cleaned after lot {row.before.code}"
        yield of_event(row.event, Sort.CLEANING, words, row.reason)


def _unit_moves(places: set[int]) -> Iterator[Entry]:
    """Yield the moves of the pallets that the lot was put on."""
    rows = UnitMove.objects.filter(unit__location__in=places)
    for row in rows.select_related("unit", "from_location", "to_location", "actor"):
        words = f"Pallet {row.unit.sscc} moved from {row.from_location.name} to {row.to_location.name}"
        yield Entry(row.happened_at, row.recorded_at, Sort.MOVEMENT, words, who(row.actor))


def _links(lot: Lot) -> Iterator[Entry]:
    rows = Link.objects.filter(Q(parent=lot) | Q(child=lot))
    for row in rows.select_related("parent__material", "child__material", "event__actor", "event__reversed_by"):
        went = f" {in_words(row.quantity_micro, row.parent.material.base_unit)}" if row.quantity_micro else ""
        if row.child_id == lot.pk:
            words = f"Made with{went} of lot {row.parent.code}, {row.parent.material.name} ({row.get_kind_display()})"
        else:
            words = f"Went into lot {row.child.code}, {row.child.material.name}:{went} ({row.get_kind_display()})"
        yield of_event(row.event, Sort.LINK, words)


def _decisions(lot: Lot) -> Iterator[Entry]:
    for row in Decision.objects.filter(lot=lot).select_related("actor"):
        words = f"{row.get_before_display()} → {row.get_after_display()}"
        yield Entry(row.happened_at, row.recorded_at, Sort.DECISION, words, who(row.actor), row.reason)


def _certificates(lot: Lot) -> Iterator[Entry]:
    for row in Certificate.objects.filter(lot=lot).select_related("actor", "replaces", "replaced_by"):
        later = getattr(row, "replaced_by", None)
        told = {
            "": row.number or "without a number",
            "of": row.laboratory,
            "issued on": str(row.issued_on or ""),
            "in place of": str(row.replaces or ""),
        }
        undone = f"corrected by certificate {later}" if later else ""
        words = f"Certificate {_told(told)}"
        yield Entry(row.recorded_at, row.recorded_at, Sort.CERTIFICATE, words, who(row.actor), "", undone)


def _readings(lot: Lot) -> Iterator[Entry]:
    rows = TankReading.objects.filter(lot=lot).select_related("vessel", "actor", "replaced_by")
    for row in rows:
        later = getattr(row, "replaced_by", None)
        undone = f"corrected on {on_the_wall(later.recorded_at)}" if later else ""
        why = " ".join(part for part in (row.remark, row.reason) if part)
        words = f"{row.vessel.name}: {reading_in_words(row)}"
        yield Entry(row.happened_at, row.recorded_at, Sort.READING, words, who(row.actor), why, undone)


def _delivery_changes(lot: Lot) -> Iterator[Entry]:
    for row in DeliveryChange.objects.filter(delivery__lines__lot=lot).select_related("actor"):
        yield Entry(row.changed_at, row.changed_at, Sort.PAPERS, f"Delivery: {row.words}", who(row.actor))


def _packaging(lot: Lot) -> Iterator[Entry]:
    fills = PackagingFill.objects.filter(lot=lot).select_related("run", "event__actor", "event__reversed_by")
    for row in fills:
        line = f", line {row.line}" if row.line else ""
        loss = in_words(row.loss_micro, "L")
        words = f"Run {row.run.code}{line}: {row.count} filled, {row.rejects} thrown out, {loss} lost"
        yield of_event(row.event, Sort.PACKAGING, words)
    tanks = FilledTank.objects.filter(Q(lot=lot) | Q(fill__lot=lot))
    for tank in tanks.select_related("vessel", "lot", "fill__run", "fill__event__actor", "fill__event__reversed_by"):
        left = in_words(tank.left_micro, "L")
        words = f"Run {tank.fill.run.code}: {left} of lot {tank.lot.code} left {tank.vessel.name}"
        yield of_event(tank.fill.event, Sort.PACKAGING, words)


def _disposals(lot: Lot) -> Iterator[Entry]:
    rows = SampleDisposal.objects.filter(sample__lot=lot)
    for row in rows.select_related("sample", "event__actor", "event__reversed_by"):
        yield of_event(row.event, Sort.SAMPLE, f"{row.sample.count} that were kept are thrown away", row.event.reason)


def _picks(lot: Lot) -> Iterator[Entry]:
    for row in Pick.objects.filter(lot=lot).select_related("line__order", "location", "actor", "shipment"):
        words = f"{row.count} picked from {row.location.name} for order {row.line.order.number}"
        why = " ".join(part for part in (row.more_because, row.short_life_reason) if part)
        undone = f"put back on {on_the_wall(row.put_back_at)}" if row.put_back_at else ""
        yield Entry(row.picked_at, row.picked_at, Sort.PICK, words, who(row.actor), why, undone)


def _outcomes(lot: Lot) -> Iterator[Entry]:
    rows = ReturnOutcome.objects.filter(lot=lot)
    for row in rows.select_related("location", "event__actor", "event__reversed_by"):
        yield of_event(row.event, Sort.RETURN, f"Of what came back, {row.count} {row.get_kind_display()}")


def _counts(lot: Lot) -> Iterator[Entry]:
    rows = CountLine.objects.filter(lot=lot, counted_at__isnull=False).select_related("location", "counted_by")
    for row in rows:
        counted = in_words(row.counted_micro or 0, lot.material.base_unit)
        if row.counted_at:
            words = f"Counted in {row.location.name}: {counted}"
            yield Entry(row.counted_at, row.counted_at, Sort.COUNT, words, who(row.counted_by), row.reason)


def _reservations(lot: Lot) -> Iterator[Entry]:
    for row in Reservation.objects.filter(lot=lot).select_related("actor"):
        words = f"{in_words(row.quantity_micro, lot.material.base_unit)} reserved for {row.purpose}"
        undone = f"let go on {on_the_wall(row.let_go_at)}" if row.let_go_at else ""
        yield Entry(row.reserved_at, row.reserved_at, Sort.RESERVATION, words, who(row.actor), "", undone)


def _substitutions(lot: Lot) -> Iterator[Entry]:
    rows = Substitution.objects.filter(lot=lot)
    for row in rows.select_related("brew", "wanted", "event__actor", "event__reversed_by"):
        yield of_event(row.event, Sort.LINK, f"In brew {row.brew.code} in place of {row.wanted.name}", row.reason)
