"""Yeast lots on a day: generation, where they lie and for how long, what was counted, and what is alive by now.

What is alive is predicted from the last count by the days and warmth since (`brewery.science.viability`); it is for
dates of warning, and pitching needs a fresh count.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from typing import Any

from django.db.models import Q

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.production.queries.strains import Strain, strains_on
from brewery.science.properties import plain
from brewery.science.ranges import OutOfRange
from brewery.science.storage import Stay
from brewery.science.units import MICRO
from brewery.science.viability import USUAL_WARNING_PCT, viability_after_pct
from brewery.science.yeast import has_too_much_wild_yeast
from inventory.models import Balance, Certificate, CertificateValue, Event, Location, Lot, Material, Posting
from inventory.queries.stays import legs_since, movements_of

_MICROBES = ("wild_yeast", "bacteria")
_COUNTED = ("viability", "cell_count", *_MICROBES)
_SECONDS_A_DAY = 86_400


@dataclass(frozen=True)
class YeastState:
    """A part of a yeast lot at a moment, and what its strain is held to.

    `viability_pct` is what is alive by now, None where it was never counted, and `why` says how that is known; a count
    holds for the day on which it was made. `cells_per_ml` counts dead ones too. `days` are since it was made.
    """

    lot: Lot
    location: Location
    strain: Strain
    days: float
    counted_pct: float | None
    counted_on: date | None
    viability_pct: float | None
    is_predicted: bool
    why: str
    cells_per_ml: float | None
    is_crop: bool
    is_past_its_day: bool
    has_wild_yeast: bool
    has_bacteria: bool

    @property
    def is_too_old(self) -> bool:
        """Whether it has gone through more generations than the strain is used for."""
        return (self.lot.generation or 0) > self.strain.last_generation

    @property
    def is_stored_too_long(self) -> bool:
        """Whether a crop has lain longer than the strain may; what was bought keeps to its best-before day."""
        return self.is_crop and self.days > self.strain.most_days

    @property
    def is_too_weak(self) -> bool:
        """Whether less than the least is alive."""
        return self.viability_pct is not None and self.viability_pct < self.strain.least_viability_pct

    @property
    def is_infected(self) -> bool:
        """Whether bacteria were found, or 100 wild cells or more in a million (Richards 1968)."""
        return self.has_bacteria or self.has_wild_yeast

    @property
    def is_fit(self) -> bool:
        """Whether it may be pitched as far as its age and its counts go."""
        return not (self.is_too_old or self.is_stored_too_long or self.is_too_weak or self.is_past_its_day)

    @property
    def is_doubtful(self) -> bool:
        """Whether it was never counted, or fewer are alive than usual."""
        return self.viability_pct is None or self.viability_pct < USUAL_WARNING_PCT

    @property
    def next_step(self) -> str:
        """What is to be done with it, in words."""
        if self.is_infected:
            return "Discard it: what does not belong in it was found."
        if self.is_too_old:
            return f"Discard it: generation {self.strain.last_generation} is the last that is used."
        if self.is_past_its_day or self.is_stored_too_long or self.is_too_weak:
            return "Count it again, or discard it."
        return "Count it before it is pitched." if self.is_doubtful or self.is_predicted else "Fit to pitch."


def states_of(parts: Sequence[tuple[Lot, Location]], moment: datetime) -> list[YeastState]:
    """Return how each part stands at the moment, in their order. Three statements however many parts."""
    lots = [lot for lot, _ in parts]
    if not lots:
        return []
    counted, movements = counts_of([lot.pk for lot in lots]), movements_of(lots)
    strains = strains_on({lot.material_id for lot in lots}, brewery_day(moment))
    return [
        _state(lot, place, strains[lot.material_id], counted[lot.pk], movements[lot.pk], moment) for lot, place in parts
    ]


def counts_of(lots: Sequence[int]) -> dict[int, dict[str, CertificateValue]]:
    """Return by lot what was last counted of it, by property; what a laboratory found no own count lifts."""
    rows = CertificateValue.objects.filter(
        Q(bound="") | Q(bound=">", property__in=_MICROBES),
        certificate__lot__in=lots,
        certificate__replaced_by=None,
        property__in=_COUNTED,
    ).select_related("certificate")
    counted: dict[int, dict[str, CertificateValue]] = defaultdict(dict)
    for row in sorted(rows, key=lambda row: (_day_of(row), row.certificate.recorded_at, row.pk)):
        of_lot = counted[row.certificate.lot_id]
        if not _lifts_a_find(row, of_lot.get(row.property)):
            of_lot[row.property] = row
    return counted


def _lifts_a_find(row: CertificateValue, before: CertificateValue | None) -> bool:
    if before is None or row.property not in _MICROBES or before.certificate.is_own_count:
        return False
    return row.certificate.is_own_count and (row.value_micro or 0) < (before.value_micro or 0)


def _day_of(row: CertificateValue) -> date:
    """Return the day of a count: that of the certificate, or else the day on which it was entered."""
    return row.certificate.issued_on or brewery_day(row.certificate.recorded_at)


def holds_until(count: CertificateValue) -> datetime:
    """Return the end of the day of a count: from then on what is alive is predicted."""
    return datetime.combine(_day_of(count) + timedelta(days=1), time(), brewery_zone())


def _state(
    lot: Lot,
    place: Location,
    strain: Strain,
    counted: dict[str, CertificateValue],
    movements: Sequence[Posting],
    moment: datetime,
) -> YeastState:
    count = counted.get("viability")
    counted_pct = _figure(count)
    viability_pct, is_predicted, why = counted_pct, False, "as it was never counted"
    if count is not None and counted_pct is not None:
        viability_pct, is_predicted, why = _alive(count, counted_pct, place, movements, moment)
    cells = _figure(counted.get("cell_count"))
    return YeastState(
        lot=lot,
        location=place,
        strain=strain,
        days=max(0.0, (moment - lot.made_at).total_seconds() / _SECONDS_A_DAY),
        counted_pct=counted_pct,
        counted_on=_day_of(count) if count else None,
        viability_pct=viability_pct,
        is_predicted=is_predicted,
        why=why,
        cells_per_ml=None if cells is None else cells * 1e6,
        is_crop=any(row.event_id == lot.made_by_id and row.event.kind == Event.Kind.HARVEST for row in movements),
        is_past_its_day=lot.best_before is not None and lot.best_before < brewery_day(moment),
        has_wild_yeast=has_too_much_wild_yeast(_figure(counted.get("wild_yeast")) or 0),
        has_bacteria=bool(_figure(counted.get("bacteria"))),
    )


def _figure(row: CertificateValue | None) -> float | None:
    return None if row is None else (row.value_micro or 0) / MICRO


def _alive(
    count: CertificateValue, counted_pct: float, place: Location, movements: Sequence[Posting], moment: datetime
) -> tuple[float, bool, str]:
    """Return what is alive by now, whether that is predicted, and how it is known."""
    day = _day_of(count)
    told = f"by {_source(count.certificate)} of {day.isoformat()}"
    legs = legs_since(place, movements, holds_until(count), moment)
    if not counted_pct or not legs:
        return counted_pct, False, told
    stays = []
    for leg in legs:
        if leg.warmth_c is None:
            return counted_pct, False, f"{told}; how warm {leg.location.name} is kept is not known, so the count stands"
        stays.append(Stay(leg.days, leg.warmth_c))
    try:
        alive = viability_after_pct(counted_pct, stays)
    except OutOfRange as refused:
        return counted_pct, False, f"{told}; the count stands: {refused.problem}"
    days = sum(stay.days for stay in stays)
    return alive, True, f"as predicted from {plain(count.value_micro or 0)} % {told} and {days:.1f} days in store since"


def _source(certificate: Certificate) -> str:
    if certificate.is_own_count:
        return "the brewers' own count"
    return f"certificate {certificate.number}" if certificate.number else "its certificate"


def yeast_on_hand(moment: datetime, material: Material | None = None) -> list[tuple[YeastState, int]]:
    """Return all yeast in stock now with how much of it lies there in micro-units: fittest first, strain by strain.

    Fit before unfit, then the youngest generation, then what was made last.
    """
    rows = Balance.objects.filter(
        lot__material__kind=Material.Kind.YEAST, location__kind__in=Location.STOCK, quantity_micro__gt=0
    ).select_related("lot__material", "location")
    if material is not None:
        rows = rows.filter(lot__material=material)
    parts = [(row.lot, row.location, row.quantity_micro) for row in rows]
    states = states_of([(lot, place) for lot, place, _ in parts], moment)
    found = [(state, quantity) for state, (_, _, quantity) in zip(states, parts, strict=True)]
    return sorted(found, key=lambda one: _fittest_first(one[0]))


def _fittest_first(state: YeastState) -> tuple[Any, ...]:
    lot = state.lot
    return lot.material.code, not state.is_fit or state.is_infected, lot.generation or 0, -lot.pk, state.location.code
