"""Alpha acids of hop lots on a day: by the certificate that holds, and by the storage model where warmth is known."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.science.cultivars import CULTIVARS, Cultivar
from brewery.science.estimates import Estimate
from brewery.science.hops import AlphaInStorage, HopForm, Pack, alpha_in_storage, default_rate
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay
from brewery.science.units import MICRO
from inventory.models import CertificateValue, Location, Lot, Posting
from inventory.queries.stays import Leg, legs_since, movements_of

_STATED = ("alpha", "form", "pack")
_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class AlphaToday:
    """What a lot holds of alpha acids at one moment, and why: `factor` is what is left of what was certified.

    `equivalent_days` are days at 20 °C in the open, or None where the certificate alone is gone by.
    """

    lot: Lot
    alpha_pct: float
    certified_pct: float
    assayed_on: date
    days: float
    equivalent_days: float | None
    why: str

    @property
    def factor(self) -> float:
        """Which part of the certified alpha is left."""
        return self.alpha_pct / self.certified_pct if self.certified_pct else 1.0

    @property
    def is_modelled(self) -> bool:
        """Whether the storage model has a say, and not the certificate alone."""
        return self.equivalent_days is not None


def alphas_of(parts: Iterable[tuple[Lot, Location, datetime]]) -> list[AlphaToday | None]:
    """Return the alpha of each part of a hop lot at its moment, in their order; None where no figure is on record.

    The place is where the part lies, or lay before it was taken. Two statements however many parts.
    """
    parts = list(parts)
    lots = [lot for lot, _, _ in parts]
    stated, movements = _stated(lots), movements_of(lots)
    return [
        _alpha(lot, stated[lot.pk], place, movements[lot.pk], moment) if "alpha" in stated[lot.pk] else None
        for lot, place, moment in parts
    ]


def cultivar_of(name: str) -> Cultivar | None:
    """Return the cultivar that a material is named after, or None; the longest name that stands in it counts."""
    words = f" {name.casefold()} "
    found = [one for one in CULTIVARS.values() if f" {one.name.casefold()} " in words.replace(",", " ")]
    return max(found, key=lambda one: len(one.name), default=None)


def _stated(lots: Sequence[Lot]) -> dict[int, dict[str, CertificateValue]]:
    """Return by lot what its certificates that hold say; the last entered counts."""
    rows = CertificateValue.objects.filter(
        certificate__lot__in=lots, certificate__replaced_by=None, property__in=_STATED, bound=""
    )
    stated: dict[int, dict[str, CertificateValue]] = defaultdict(dict)
    for row in rows.select_related("certificate").order_by("certificate__recorded_at", "pk"):
        stated[row.certificate.lot_id][row.property] = row
    return stated


def _alpha(
    lot: Lot, stated: dict[str, CertificateValue], place: Location, movements: Sequence[Posting], moment: datetime
) -> AlphaToday:
    certificate = stated["alpha"].certificate
    issued_on = certificate.issued_on or brewery_day(lot.made_at)
    since = max(datetime.combine(issued_on, time(), brewery_zone()), lot.made_at)
    certified = (stated["alpha"].value_micro or 0) / MICRO
    days = max(0.0, (moment - since).total_seconds() / _SECONDS_A_DAY)
    told = f"{certified:.3g} % by {_name(certificate.number)} of {issued_on.isoformat()}"
    kept, unknown = _kept(lot, stated, legs_since(place, movements, since, moment), certified)
    if kept is None:
        return AlphaToday(lot, certified, certified, issued_on, days, None, f"{told}; {unknown}")
    alpha = kept.alpha_pct.value
    warm = " (above 20 °C the model is carried on beyond what was published)" if kept.is_extrapolated else ""
    why = (
        f"{told}; {days:.0f} days in store, as {kept.equivalent_days:.0f} at 20 °C in the open: "
        f"factor {alpha / certified if certified else 1:.3f}, {alpha:.3g} % now{warm}"
    )
    return AlphaToday(lot, alpha, certified, issued_on, days, kept.equivalent_days, why)


def _kept(
    lot: Lot, stated: dict[str, CertificateValue], legs: Sequence[Leg], certified_pct: float
) -> tuple[AlphaInStorage | None, str]:
    """Return what the model says, or None and why it has no say."""
    cultivar = cultivar_of(lot.material.name)
    if cultivar is None:
        return None, f"how {lot.material.name} keeps is not known, so the certificate stands"
    if not certified_pct:
        return None, "nothing is left to decay"
    pack = Pack(stated["pack"].text) if "pack" in stated else Pack.OPEN
    stays = []
    for leg in legs:
        if leg.warmth_c is None:
            return None, f"how warm {leg.location.name} is kept is not known, so the certificate stands"
        stays.append(Stay(leg.days, leg.warmth_c, pack.protection))
    try:
        form = HopForm(stated["form"].text) if "form" in stated else HopForm.CONES
        return alpha_in_storage(Estimate.exact(certified_pct), default_rate(cultivar, form), stays), ""
    except OutOfRange as refused:
        return None, f"the certificate stands: {refused.problem}"


def _name(number: str) -> str:
    return f"certificate {number}" if number else "its certificate"
