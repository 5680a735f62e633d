"""A recall as tables to be sorted: events, lots, customers and the mass balance, as one workbook or as files of CSV.

The columns of the events are the key data elements of 21 CFR 1.1340 to 1.1350.
"""

import io
import zipfile
from collections.abc import Iterator, Sequence
from datetime import datetime

from django.conf import settings

from brewery.kernel.clock import brewery_zone
from brewery.kernel.services.spreadsheets import Amount, Cell, Table, book_bytes, csv_lines
from brewery.science.units import MICRO
from inventory.models import Location, PartyContact
from traceability.models import Recall
from traceability.queries.recall_events import LotEvent, events_of
from traceability.queries.recall_files import PARTS
from traceability.queries.recalls import CAUTION, AffectedCustomer, CustomerLot, RecallView, Reconciled

NOT_ON_THE_LIST = (
    "The columns of the events are the key data elements of 21 CFR 1 subpart S (critical tracking events). Beer, malt, "
    "hops and yeast are not on the list of foods that it is for; it is used here as a yardstick, not as a duty."
)
EVENTS = (
    "happened_at",
    "event",
    "critical_tracking_event",
    "kind",
    "traceability_lot_code",
    "suppliers_lot_code",
    "lot_code_given_by",
    "product",
    "quantity",
    "unit",
    "from_location",
    "from_name",
    "to_location",
    "to_name",
    "reference_document_type",
    "reference_document",
    "is_affected",
    "reason",
    "reversed_by_event",
    "recorded_at",
    "recorded_by",
)
LOTS = ("lot", "material", "product", "unit", "made_at", "best_before", "disposition", "is_subject", *PARTS)
CUSTOMERS = (
    "customer",
    "name",
    "lot",
    "product",
    "unit",
    "shipped",
    "back",
    "there",
    "holds",
    "gone",
    "not_answered_for",
    "is_reached",
    "spoke_with",
    "asked_at",
    "contacts",
)
BALANCE = ("lot", "product", "unit", "made", *(part for part in PARTS if part not in ("made", "back")), "percent")
EVERY_LOT = "all lots"


def tables_of(view: RecallView) -> list[Table]:
    """Return all tables of the recall as it stands, what they are first."""
    return [
        Table("About", ("what", "words"), _about(view)),
        Table("Events", EVENTS, [_event(one) for one in events_of([row.lot for row in view.lots])]),
        Table("Lots", LOTS, _lots(view)),
        Table("Customers", CUSTOMERS, _customers(view)),
        Table("Mass balance", BALANCE, _balance(view)),
    ]


def as_workbook(view: RecallView) -> bytes:
    """Return the tables as sheets of one XLSX file."""
    return book_bytes(tables_of(view))


def as_csv_files(view: RecallView) -> bytes:
    """Return the tables as CSV files in one ZIP file; the same record at the same moment gives the same bytes."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as packed:
        for table in tables_of(view):
            name = zipfile.ZipInfo(f"{table.name.lower().replace(' ', '-')}.csv")
            packed.writestr(name, "".join(csv_lines(table)), zipfile.ZIP_DEFLATED)
    return content.getvalue()


def file_name(recall: Recall) -> str:
    """Return what files of the recall are called, without an ending."""
    return str(recall).replace(" ", "-")


def _moment(moment: datetime) -> str:
    """Return a moment as text that sorts: ISO 8601 to the second, with the offset of the brewery's clock."""
    return moment.astimezone(brewery_zone()).isoformat(timespec="seconds")


def _about(view: RecallView) -> Iterator[Sequence[Cell]]:
    recall = view.recall
    yield "standard", NOT_ON_THE_LIST
    yield "caution", CAUTION
    yield "record of", settings.BREWERY_NAME
    yield "recall", str(recall)
    yield "in earnest", "no: a drill" if recall.is_mock else "yes"
    yield "hazard", recall.hazard
    yield "opened at", _moment(recall.written_at)
    yield "as of", _moment(view.as_of)
    for one in view.reconciled:
        yield f"accounted for, {one.unit}", f"{one.percent_shown} %"


def _event(one: LotEvent) -> Sequence[Cell]:
    event, lot, posting = one.event, one.lot, one.posting
    unit = lot.material.base_unit
    return (
        _moment(event.happened_at),
        event.pk,
        one.tracking.value,
        event.get_kind_display(),
        lot.code,
        lot.supplier_lot,
        one.code_given_by,
        lot.material.name,
        Amount(posting.quantity_micro, unit),
        unit,
        posting.from_location.code,
        _named(posting.from_location),
        posting.to_location.code,
        _named(posting.to_location),
        *one.paper,
        "yes" if one.is_affected else "no",
        " ".join(part for part in (event.reason, event.override_reason) if part),
        one.undone,
        _moment(event.recorded_at),
        event.actor.get_full_name() or event.actor.get_username(),
    )


def _named(location: Location) -> str:
    return location.party.name if location.party else location.name


def _lots(view: RecallView) -> Iterator[Sequence[Cell]]:
    for row in view.lots:
        lot, unit = row.lot, row.lot.material.base_unit
        yield (
            lot.code,
            lot.material.code,
            lot.material.name,
            unit,
            _moment(lot.made_at),
            lot.best_before,
            lot.get_disposition_display(),
            "yes" if row.is_subject else "no",
            *(Amount(getattr(row, f"{part}_micro"), unit) for part in PARTS),
        )


def _customers(view: RecallView) -> Iterator[Sequence[Cell]]:
    return (_customer(one, row) for one in view.customers for row in one.lots)


def _customer(one: AffectedCustomer, row: CustomerLot) -> Sequence[Cell]:
    unit, check = row.lot.material.base_unit, one.check
    parts = (row.shipped_micro, row.back_micro, row.there_micro, row.holds_micro, row.gone_micro, row.open_micro)
    return (
        one.customer.code,
        one.customer.name,
        row.lot.code,
        row.lot.material.name,
        unit,
        *(Amount(micro, unit) for micro in parts),
        "yes" if one.is_reached else "no",
        check.spoke_with if check else "",
        _moment(check.written_at) if check else "",
        "; ".join(contact_in_words(contact) for contact in one.contacts),
    )


def contact_in_words(contact: PartyContact) -> str:
    """Return whom to ring, in one line."""
    night = "also at night" if contact.is_reachable_at_night else ""
    return ", ".join(part for part in (contact.name, contact.role, contact.phone, contact.email, night) if part)


def _balance(view: RecallView) -> Iterator[Sequence[Cell]]:
    parts = BALANCE[3:-1]
    for row in view.lots:
        unit = row.lot.material.base_unit
        amounts = (Amount(getattr(row, f"{part}_micro"), unit) for part in parts)
        part = Reconciled(unit, row.made_micro, row.accounted_micro)
        yield row.lot.code, row.lot.material.name, unit, *amounts, _percent(part)
    for one in view.reconciled:
        rows = [row for row in view.lots if row.lot.material.base_unit == one.unit]
        sums = (Amount(sum(getattr(row, f"{part}_micro") for row in rows), one.unit) for part in parts)
        yield EVERY_LOT, "", one.unit, *sums, _percent(one)


def _percent(one: Reconciled) -> Amount:
    """Return the per cent as a number, cut to three decimals as it is shown."""
    return Amount(int(one.percent * 1000 // 1) * MICRO // 1000, "%")
