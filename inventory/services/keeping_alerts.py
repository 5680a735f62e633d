"""What is told of lots that have kept for long enough: hops that went weak, and beer that aged before its date."""

from collections.abc import Iterator
from datetime import datetime

from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day
from inventory.models import Keeping
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from inventory.services.keeping_rules import ALPHA, BEER_AGE
from inventory.services.keepings import crossed_by, work_off


@alerts_of("hops_weak", "Hops gone weak", after=(Bell.CERTIFICATE,))
def weak_hops(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each part of a hop lot that has less than 80 % of the alpha acids of its certificate."""
    work_off()
    for row in crossed_by(ALPHA, moment):
        words = (
            f"{of_part(row)} has had less than 80 % of the alpha acids of its certificate since {day_of(row)}, by the "
            "storage model. Dose it by today's figure, have it assayed, or use it up."
        )
        yield cause_of(row, words, Role.BREWING)


@alerts_of("beer_old", "Beer older than its days", after=(Bell.CERTIFICATE,))
def old_beer(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each part of a lot of packaged beer that lay so warm that its life is over before its date."""
    work_off()
    for row in crossed_by(BEER_AGE, moment):
        if row.lot.best_before and row.lot.best_before >= brewery_day(moment):
            words = (
                f"{of_part(row)} is good to {row.lot.best_before.isoformat()} by its date, but lay so warm that it has "
                f"been as old as that since {day_of(row)}. Taste it before more of it is sold."
            )
            yield cause_of(row, words, Role.QUALITY)


def of_part(row: Keeping) -> str:
    """Return the part in words."""
    return f"Lot {row.lot.code} of {row.lot.material.name} in {row.location.name}"


def day_of(row: Keeping) -> str:
    """Return the day on which it crossed, by the brewery's clock."""
    return brewery_day(row.crosses_at).isoformat() if row.crosses_at else ""


def cause_of(row: Keeping, words: str, owner: Role) -> Cause:
    """Return the cause: the part is its name, so that it stays the same while the moment is corrected."""
    return Cause(
        f"lot {row.lot_id} in {row.location_id}",
        words,
        owner,
        address=reverse("lot-keeping", args=[row.lot_id]),
        lot_id=row.lot_id,
        location_id=row.location_id,
        material_id=row.lot.material_id,
    )
