"""Delivery drafts: a delivery is written down as it comes in, by one or by several people, until it is booked."""

from collections.abc import Collection, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db.models import Model

from brewery.kernel.clock import now, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput, SeveralInvalid
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from inventory.models import Delivery, DeliveryChange, Party
from inventory.queries.deliveries import changes_since
from inventory.services.draft_refusals import ChangedMeanwhile, DraftBooked, DraftDiscarded
from inventory.services.orders import refuse_no_supplier

HEADER = (
    "supplier",
    "note_number",
    "carrier",
    "vehicle",
    "arrived_at",
    "temperature_milli_c",
    "condition",
    "condition_note",
    "same_note_confirmed",
    "pallet",
)
"""What may be said of the delivery as a whole."""

MOST_CHANGES_TOLD = 3
LONGEST_WORDS = 400


@once("open_delivery", returns=Delivery)
def open_delivery(
    *,
    supplier: Party,
    arrived_at: datetime,
    actor: User,
    request_id: UUID,
    header: Mapping[str, Any] | None = None,
) -> Delivery:
    """A draft of a delivery is there. `header`: what more of HEADER is known. Raises NoSupplier, InvalidInput."""
    refuse_no_supplier(supplier)
    moment = now()
    draft = Delivery(
        supplier=supplier, arrived_at=arrived_at, opened_by=actor, opened_at=moment, changed_at=moment, **(header or {})
    )
    refuse_bad_fields(draft, header or {})
    draft.save(force_insert=True)
    DeliveryChange.objects.create(
        delivery=draft, version=draft.version, touched=[], words="opened it", actor=actor, changed_at=moment
    )
    return draft


@once("change_delivery", returns=Delivery)
def change_delivery(
    *,
    delivery: Delivery,
    version: int,
    changes: Mapping[str, Any],
    actor: User,
    request_id: UUID,
    whole: bool = False,
) -> Delivery:
    """The head of the draft says what `changes` say; the keys are among HEADER.

    Raises ChangedMeanwhile where somebody changed one of these since `version` (with `whole`: anything at all), and
    DraftBooked, DraftDiscarded, NoSupplier, InvalidInput.
    """
    draft = locked_draft(delivery, version, changes, whole=whole)
    if "supplier" in changes:
        refuse_no_supplier(changes["supplier"])
    _set(draft, changes)
    if {"supplier", "note_number"} & changes.keys() and "same_note_confirmed" not in changes:
        draft.same_note_confirmed = False
    words = ", ".join(f"{field_name(draft, name)} is now {shown(draft, name)}" for name in changes)
    note_change(draft, actor, list(changes), words)
    return draft


@once("discard_delivery", returns=Delivery)
def discard_delivery(*, delivery: Delivery, version: int, actor: User, request_id: UUID) -> Delivery:
    """The draft is put away: it is nobody's work any more, and stays on record as discarded.

    Raises ChangedMeanwhile for any change since `version`, DraftBooked, DraftDiscarded.
    """
    draft = locked_draft(delivery, version, (), whole=True)
    note_change(draft, actor, [], "discarded it", state=Delivery.State.DISCARDED)
    return draft


def locked_draft(delivery: Delivery, version: int | None, touched: Collection[str], *, whole: bool = False) -> Delivery:
    """Return the draft, fresh and locked. Raises DraftBooked, DraftDiscarded, ChangedMeanwhile, InvalidInput.

    Without a version nothing is compared: what is added to a draft stands in nobody's way.
    """
    draft = Delivery.objects.select_for_update().get(pk=delivery.pk)
    if draft.state != Delivery.State.DRAFT:
        raise _over(draft)
    if version is not None:
        refuse_changed(draft, version, touched, whole=whole)
    return draft


def note_change(draft: Delivery, actor: User, touched: list[str], words: str, **marks: Any) -> None:
    """The locked draft is saved under its next version, and who touched what is kept."""
    draft.version += 1
    draft.changed_at = now()
    for name, value in marks.items():
        setattr(draft, name, value)
    draft.save()
    DeliveryChange.objects.create(
        delivery=draft,
        version=draft.version,
        touched=touched,
        words=words if len(words) <= LONGEST_WORDS else words[: LONGEST_WORDS - 1] + "…",
        actor=actor,
        changed_at=draft.changed_at,
    )


def refuse_bad_fields(row: Model, names: Collection[str], prefix: str = "") -> None:
    """Raise InvalidInput, or several together, where a field among `names` holds what its column does not take."""
    plain = {field.name for field in row._meta.concrete_fields if not field.is_relation}
    try:
        row.clean_fields(exclude={field.name for field in row._meta.concrete_fields} - (plain & set(names)))
    except ValidationError as wrong:
        faults = [
            InvalidInput(field=prefix + name, value=getattr(row, name), problem=" ".join(error.messages))
            for name, errors in wrong.error_dict.items()
            for error in errors
        ]
        raise faults[0] if len(faults) == 1 else SeveralInvalid(faults) from wrong


def field_name(row: Model, name: str) -> str:
    """Return a field's name for people."""
    return NAMES.get(name) or str(getattr(row._meta.get_field(name), "verbose_name", name))


def shown(row: Model, name: str) -> str:
    """Return what a field holds, for people."""
    value = getattr(row, name)
    if value is None or value == "":
        return "empty"
    if isinstance(value, datetime):
        return on_the_wall(value)
    if name.endswith("_micro"):
        return f"{value / 10**6:g}"
    if name == "temperature_milli_c":
        return f"{value / 1000:g} °C"
    return f"“{value}”"


NAMES = {
    "temperature_milli_c": "temperature",
    "quantity_micro": "weight",
    "note_quantity_micro": "weight on the note",
    "package_micro": "content of a package",
    "same_note_confirmed": "another delivery under the same note",
    "arrived_at": "time of arrival",
    "location": "place",
    "pallet": "pallet that is being unloaded",
}


def _set(draft: Delivery, changes: Mapping[str, Any]) -> None:
    for name in changes:
        if name not in HEADER:
            raise InvalidInput(field=name, value=changes[name], problem="A delivery has nothing of that name.")
        setattr(draft, name, changes[name])
    refuse_bad_fields(draft, changes)


def _over(draft: Delivery) -> DomainError:
    """Return who booked or discarded it, and when."""
    last = changes_since(draft, draft.version - 1).get()
    refusal = DraftBooked if draft.state == Delivery.State.BOOKED else DraftDiscarded
    return refusal(person=last.actor, delivery=name_of(draft), moment=on_the_wall(last.changed_at), field="delivery")


def refuse_changed(draft: Delivery, version: int, touched: Collection[str], *, whole: bool = False) -> None:
    """Raise ChangedMeanwhile where somebody changed any of these since that version; with `whole`, anything at all."""
    if version > draft.version:
        raise InvalidInput(field="version", value=version, problem=f"The draft is at version {draft.version}.")
    later = [change for change in changes_since(draft, version) if whole or set(touched) & set(change.touched)]
    if later:
        told = "; ".join(f"{_who(change)}: {change.words}" for change in later[-MOST_CHANGES_TOLD:])
        raise ChangedMeanwhile(delivery=name_of(draft), changes=told, field=_field_of(later, set(touched)))


def _field_of(later: list[DeliveryChange], touched: set[str]) -> str:
    both = [name for change in later for name in change.touched if name in touched]
    return both[-1] if both else "version"


def _who(change: DeliveryChange) -> str:
    person = change.actor.get_full_name() or change.actor.get_username()
    return f"{person}, {on_the_wall(change.changed_at)}"


def name_of(delivery: Delivery) -> str:
    """Return what to call a delivery: by its note, or by its number here."""
    return f"delivery note {delivery.note_number}" if delivery.note_number else f"delivery {delivery.pk}"
