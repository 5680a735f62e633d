"""Counts of yeast by the brewers themselves: what is alive, how many cells, what does not belong, and how much."""

from collections.abc import Mapping
from datetime import datetime
from uuid import UUID

from brewery.kernel.clock import brewery_day, on_the_wall
from brewery.kernel.errors import DomainError, InvalidInput, SeveralInvalid
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.services.tanks import refuse_other_materials
from brewery.science.analyses import ANALYSES
from brewery.science.properties import NotAReading, read
from inventory.models import Certificate, Lot, Material
from inventory.services.certificates import Measured, write_certificate
from inventory.services.checks import refuse_the_future
from inventory.services.counts import record_count
from inventory.services.refusals import BeforeItsLot
from inventory.services.stock import Part

COUNTED = ("viability", "cell_count", "wild_yeast", "bacteria")
MEASURED = "Measured with the count"


class NotAnOwnCount(DomainError):
    code = "not_an_own_count"
    title = "A laboratory's figures are not corrected by a count."
    template = "What is corrected of lot {lot} was not counted by the brewers: a laboratory stated it."
    advice = "Ask who enters certificates to correct it; a count of your own stands beside it."


@once("count_yeast", returns=Certificate)
def count_yeast(
    *,
    lot: Lot,
    counts: Mapping[str, str],
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    measured: Part | None = None,
    replaces: Certificate | None = None,
) -> Certificate:
    """What was counted is on record, as an own count that day; viability is foretold anew from it.

    `counts` say by property, of COUNTED, what was found; `measured` how much of the lot lies in a place, and the book
    is put right by it. `replaces` is the own count that it corrects, which stays on record. A count quarantines the lot
    as a certificate does, and never releases it. Raises WrongMaterial, SeveralInvalid with every bad value by its name,
    NothingToDo without any, InTheFuture, BeforeItsLot, NotAnOwnCount, AlreadyReplaced, OtherLot, MadeByMistake, and
    the refusals of a count of stock.
    """
    refuse_other_materials(lot, (Material.Kind.YEAST,), "yeast", "lot")
    _refuse_moment(lot, happened_at)
    _refuse_bad_counts(counts)
    if replaces and not replaces.is_own_count:
        raise NotAnOwnCount(lot=lot.code, field="replaces")
    made = write_certificate(
        lot=lot,
        values=[Measured(key, value) for key, value in counts.items()],
        actor=actor,
        request_id=request_id,
        number="",
        laboratory=Certificate.OWN_COUNT,
        issued_on=brewery_day(happened_at),
        replaces=replaces,
    )
    if measured:
        place, amount = measured.location, measured.quantity_micro
        record_count(lot, place, amount, happened_at, actor=actor, request_id=request_id, reason=MEASURED)
    return made


def _refuse_moment(lot: Lot, happened_at: datetime) -> None:
    refuse_the_future(happened_at)
    if happened_at < lot.made_at:
        raise BeforeItsLot(
            lot=lot.code, made_at=on_the_wall(lot.made_at), moment=on_the_wall(happened_at), field="happened_at"
        )


def _refuse_bad_counts(counts: Mapping[str, str]) -> None:
    faults = []
    for key, value in counts.items():
        try:
            if key not in COUNTED:
                raise InvalidInput(field=key, value=value, problem=f"Brewers count: {', '.join(COUNTED)}.")
            read(ANALYSES["yeast"][key], value)
        except NotAReading as wrong:
            faults.append(InvalidInput(field=key, value=value, problem=str(wrong)))
        except InvalidInput as wrong:
            faults.append(wrong)
    if faults:
        raise SeveralInvalid(faults)
