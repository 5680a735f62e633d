"""Retained samples: packages leave the saleable stock for a shelf of the laboratory, and are thrown away in time."""

from datetime import date, datetime
from uuid import UUID, uuid5

from brewery.kernel.clock import brewery_day
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import RetainedSample, SampleDisposal
from brewery.production.queries.retained_samples import kept_samples
from brewery.production.services.refusals import SampleIsGone
from brewery.production.services.tanks import refuse_other_materials
from brewery.science.units import MICRO
from inventory.models import Location, Lot, Material
from inventory.services.disposals import destroy, take_sample
from inventory.services.posting import lock_lots

LONGEST_SHELF = 40


@once("retain_sample", returns=RetainedSample)
def retain_sample(
    *,
    lot: Lot,
    from_location: Location,
    location: Location,
    count: int,
    keep_until: date,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    shelf: str = "",
) -> RetainedSample:
    """So many of the packaged lot lie at a place of the laboratory, on the shelf named, and are no stock to sell.

    Raises WrongMaterial, WrongPlace, InvalidInput, and the refusals of the ledger.
    """
    refuse_other_materials(lot, (Material.Kind.PACKAGED,), "packaged beer")
    if not count > 0:
        raise InvalidInput(field="count", value=count, problem="Give a number above zero.")
    if len(shelf) > LONGEST_SHELF:
        raise InvalidInput(field="shelf", value=shelf, problem=f"Write {LONGEST_SHELF} characters at most.")
    if keep_until < brewery_day(happened_at):
        raise InvalidInput(field="keep_until", value=keep_until.isoformat(), problem="It was taken after that day.")
    event = take_sample(
        lot=lot,
        location=from_location,
        laboratory=location,
        quantity_micro=count * MICRO,
        happened_at=happened_at,
        reason="retained",
        actor=actor,
        request_id=uuid5(request_id, "sample"),
    )
    return RetainedSample.objects.create(
        event=event, lot=lot, location=location, shelf=shelf, count=count, keep_until=keep_until
    )


@once("throw_away_sample", returns=SampleDisposal)
def throw_away_sample(
    *, sample: RetainedSample, reason: str, happened_at: datetime, actor: User, request_id: UUID
) -> SampleDisposal:
    """The retained sample is destroyed. Before its day that needs a reason.

    Raises SampleIsGone, ReasonMissing, and the refusals of the ledger.
    """
    lock_lots([sample.lot])
    if not kept_samples().filter(pk=sample.pk).exists():
        raise SampleIsGone(lot=sample.lot.code, field="sample")
    is_due = sample.keep_until < brewery_day(happened_at)
    event = destroy(
        lot=sample.lot,
        location=sample.location,
        quantity_micro=sample.count * MICRO,
        reason=reason.strip() or ("kept long enough" if is_due else ""),
        happened_at=happened_at,
        actor=actor,
        request_id=uuid5(request_id, "destroy"),
    )
    return SampleDisposal.objects.create(event=event, sample=sample)
