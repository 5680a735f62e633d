"""What a vertical audit tells of the care for a lot: brew day, files, vessels out of service, holds and recalls."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from django.db.models import Q, QuerySet

from brewery.kernel.clock import on_the_wall
from brewery.production.models import Brew
from brewery.production.queries.brew_log import in_words, log_entries
from inventory.models import Attachment, Location, Lot, Posting, ServiceMark
from inventory.queries.vessels import Stay
from traceability.models import HeldLot, Recall
from traceability.queries.audit_entries import Entry, Sort, who


def brew_logs(lot: Lot) -> Iterator[Entry]:
    """Yield the lines of the log of the brew that made the lot; what is only in it is told by its links."""
    for row in log_entries().filter(brew__in=Brew.objects.filter(location__in=_made_from(lot))):
        later = getattr(row, "replaced_by", None)
        undone = f"corrected on {on_the_wall(later.recorded_at)}" if later else ""
        words = f"Brew {row.brew.code}, {row.get_step_display()}: {in_words(row)}"
        yield Entry(row.happened_at, row.recorded_at, Sort.BREW_LOG, words, who(row.actor), row.reason, undone)


def _made_from(lot: Lot) -> QuerySet[Posting, int]:
    return Posting.objects.filter(
        event=lot.made_by_id, from_location__kind=Location.Kind.PROCESS, event__reversed_by=None
    ).values_list("from_location", flat=True)


def attachments(lot: Lot) -> Iterator[Entry]:
    """Yield the files of its deliveries, its certificates, and the brew that made it."""
    of_brew = Q(location__in=Brew.objects.filter(location__in=_made_from(lot)).values("location"))
    rows = Attachment.objects.filter(Q(delivery__lines__lot=lot) | Q(certificate__lot=lot) | of_brew).distinct()
    for row in rows.select_related("added_by"):
        words = f"File {row.name}, SHA-256 {row.sha256}"
        yield Entry(row.added_at, row.added_at, Sort.ATTACHMENT, words, who(row.added_by))


def services(stays: Mapping[int, Sequence[Stay]]) -> Iterator[Entry]:
    """Yield of each vessel the last mark of its service before the lot came, those meanwhile, and the first after."""
    marks: dict[int, list[ServiceMark]] = defaultdict(list)
    for row in ServiceMark.objects.filter(vessel__in=stays).select_related("vessel", "actor"):
        marks[row.vessel_id].append(row)
    around = {row.pk: row for vessel, told in stays.items() for stay in told for row in _around(marks[vessel], stay)}
    for row in around.values():
        words = f"{row.vessel.name} {'taken out of' if row.is_out else 'put back into'} service"
        yield Entry(row.happened_at, row.recorded_at, Sort.SERVICE, words, who(row.actor), row.reason)


def _around(marks: Sequence[ServiceMark], stay: Stay) -> list[ServiceMark]:
    before = [row for row in marks if row.happened_at <= stay.since]
    later = [row for row in marks if row.happened_at > stay.since]
    meanwhile = [row for row in later if not stay.until or row.happened_at < stay.until]
    return before[-1:] + meanwhile + later[len(meanwhile) :][:1]


def holds(lot: Lot) -> Iterator[Entry]:
    """Yield each hold that the lot came under, and its release."""
    for row in HeldLot.objects.filter(lot=lot).select_related("hold__actor", "released_by__actor"):
        hold = row.hold
        how = "held" if row.is_start else "held as one that came of what was held"
        reference = f", {hold.reference}" if hold.reference else ""
        words = f"Under {hold}{reference}: {how}"
        yield Entry(row.held_at, row.held_at, Sort.HOLD, words, who(hold.actor), hold.reason)
        if release := row.released_by:
            at = release.released_at
            yield Entry(at, at, Sort.HOLD, f"Released from {hold}", who(release.actor), release.reason)


def recalls(lot: Lot) -> Iterator[Entry]:
    """Yield each recall or drill that began with the lot or holds it, and its closing."""
    rows = Recall.objects.filter(Q(subjects__lot=lot) | Q(hold__held__lot=lot)).distinct()
    for row in rows.select_related("actor", "closing__actor"):
        yield Entry(
            row.written_at, row.written_at, Sort.RECALL, f"{row} opened".capitalize(), who(row.actor), row.hazard
        )
        if closing := getattr(row, "closing", None):
            at = closing.written_at
            yield Entry(at, at, Sort.RECALL, f"{row} closed".capitalize(), who(closing.actor), closing.reason)
