"""Fermentations: what the readings of each tank tell, over the whole of what it holds, back to knock-out.

Attenuation and alcohol are reckoned from readings, not measured: for label and duty alcohol is measured.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Min, Q

from brewery.kernel.clock import now
from brewery.production.models import Brew, BrewSheet, CellarStep, LogEntry, TankReading
from brewery.production.queries import brew_log
from brewery.production.queries.fills import Addition, Fill, fills_of
from brewery.production.queries.tank_readings import figure_of, tank_readings
from brewery.science.attenuation import Attenuation, attenuation
from brewery.science.estimates import Estimate
from brewery.science.fermentation import Fit, Gravity, Judgement, State, fit, judge, missing_for_a_fit
from brewery.science.ranges import OutOfRange
from brewery.science.tank_readings import Stretch
from inventory.models import Balance, Event, Location, Lot, Material, Posting

_GRAVITY = TankReading.Property.GRAVITY
_MILLI = 1000
_HOUR = 3600
_GREEN = (CellarStep.Phase.FERMENTATION, CellarStep.Phase.DIACETYL_REST)


@dataclass(frozen=True)
class Original:
    """The gravity of what went in, in °P, or None; and from what it is known, or what is missing."""

    plato: float | None
    source: str


@dataclass(frozen=True)
class Fermentation:
    """What is known of the fermentation of what one tank holds or held. Readings are those that stand, oldest first.

    `hours` are counted from `began_at`: pitching, or where nothing was pitched the first reading. `missing` says why
    there is no `fit`.
    """

    vessel: Location
    lot: Lot
    fill: Fill
    sheet: BrewSheet | None
    readings: tuple[TankReading, ...]
    began_at: datetime | None
    original: Original
    fit: Fit | None
    missing: str
    judgement: Judgement
    attenuation: Attenuation | None

    @property
    def state(self) -> State:
        """What it is doing."""
        return self.judgement.state

    @property
    def has_ended(self) -> bool:
        """Whether readings show that it has ended; what nobody read has not."""
        return self.state is State.ENDED

    @property
    def pitched_at(self) -> datetime | None:
        """When the first yeast went in."""
        return self.fill.pitched_at

    @property
    def additions(self) -> tuple[Addition, ...]:
        """What went into the tank, yeast too, the first first."""
        return self.fill.additions

    @property
    def last(self) -> dict[str, TankReading]:
        """The last reading of each property."""
        return {reading.property: reading for reading in self.readings}

    @property
    def gravities(self) -> list[TankReading]:
        """The readings of gravity."""
        return [reading for reading in self.readings if reading.property == _GRAVITY]

    @property
    def aim_plato(self) -> float | None:
        """The final gravity of the sheet."""
        return self.sheet.final_gravity_milli_p / _MILLI if self.sheet else None

    @property
    def stretches(self) -> list[Stretch]:
        """The cellar steps of the sheet."""
        return stretches_of(self.sheet) if self.sheet else []

    def age_at(self, moment: datetime) -> timedelta | None:
        """Return how long after pitching a moment is, or None where nothing was pitched."""
        return moment - self.pitched_at if self.pitched_at else None

    def hours_at(self, moment: datetime) -> float:
        """Return how many hours after the beginning a moment is."""
        return (moment - self.began_at).total_seconds() / _HOUR if self.began_at else 0.0

    @property
    def ends_at(self) -> tuple[datetime, datetime, datetime] | None:
        """When the gravity is expected to be within 0.1 °P of its end: the best guess, the earliest, the latest."""
        if self.fit is None or self.began_at is None:
            return None
        expected: Estimate = self.fit.ends_at_hours
        first, low, high = (
            self.began_at + timedelta(hours=hours) for hours in (expected.value, expected.low, expected.high)
        )
        return first, low, high


def stretches_of(sheet: BrewSheet) -> list[Stretch]:
    """Return the cellar steps of a sheet."""
    return [
        Stretch(step.get_phase_display(), step.temperature_milli_c / _MILLI, step.days, step.phase in _GREEN)
        for step in sheet.cellar_steps.all()
    ]


def fermentations(as_of: datetime | None = None) -> list[Fermentation]:
    """Return what is known of every tank that holds wort or beer now, by tank; the same statements however many.

    `as_of` leaves out what was read later, and counts ages until then.
    """
    rows = Balance.objects.filter(
        quantity_micro__gt=0,
        location__kind__in=Location.TANKS,
        lot__material__kind__in=(Material.Kind.WORT, Material.Kind.BEER),
    ).select_related("location", "lot__material")
    return _told([(row.location, row.lot) for row in rows.order_by("location__code", "lot")], as_of)


def fermentation_of(vessel: Location, as_of: datetime | None = None) -> Fermentation | None:
    """Return what is known of what the tank holds now, or None where it is empty."""
    row = Balance.objects.filter(location=vessel, quantity_micro__gt=0).select_related("lot__material").first()
    return _told([(vessel, row.lot)], as_of)[0] if row else None


def fermentation_of_lot(lot: Lot, as_of: datetime | None = None) -> Fermentation | None:
    """Return what is known of a lot, in the tank into which it came last; None where it never lay in one."""
    came = Posting.objects.filter(lot=lot, to_location__kind__in=Location.TANKS, event__reversed_by=None)
    last = came.exclude(event__kind=Event.Kind.REVERSE).select_related("to_location")
    row = last.order_by("event__happened_at", "pk").last()
    return _told([(row.to_location, lot)], as_of)[0] if row else None


def brews_of(worts: Collection[int]) -> dict[int, Brew]:
    """Return by wort lot the brew that it was knocked out of."""
    rows = Lot.objects.filter(pk__in=worts, made_by__kind=Event.Kind.KNOCK_OUT)
    codes = dict(rows.values_list("pk", "made_by__reference"))
    brews = Brew.objects.filter(code__in=set(codes.values())).select_related("beer", "sheet__yeast")
    by_code = {brew.code: brew for brew in brews.prefetch_related("sheet__cellar_steps")}
    return {wort: by_code[code] for wort, code in codes.items() if code in by_code}


Filled = Sequence[tuple[Location, Lot]]


def _told(filled: Filled, as_of: datetime | None) -> list[Fermentation]:
    moment = as_of or now()
    fills = fills_of({lot.pk for _, lot in filled})
    brews = brews_of({root for fill in fills.values() for root in fill.shares})
    logs = brew_log.readings_by_brew(list(brews.values()))
    readings = _readings(filled, fills, moment)
    return [
        _fermentation(vessel, lot, fills[lot.pk], brews, logs, readings[vessel.pk, lot.pk], moment)
        for vessel, lot in filled
    ]


def _readings(filled: Filled, fills: Mapping[int, Fill], moment: datetime) -> dict[tuple[int, int], list[TankReading]]:
    """Return what was read of each fill: in its own tank, and in others before it came; by tank and lot.

    A reading of a lot whose making was reversed counts in its tank: it was read of what the tank really held.
    """
    vessels = {vessel.pk for vessel, _ in filled}
    lots = {lot for fill in fills.values() for lot in fill.line}
    came = _came(vessels, lots)
    by_lot, undone = defaultdict(list), defaultdict(list)
    of_these = Q(lot__in=lots) | Q(vessel__in=vessels, lot__reversed_by__isnull=False)
    rows = tank_readings().filter(of_these, replaced_by=None, happened_at__lte=moment)
    for reading in rows.order_by("happened_at", "pk"):
        if reading.lot_id in lots:
            by_lot[reading.lot_id].append(reading)
        else:
            undone[reading.vessel_id].append(reading)
    found = {}
    for vessel, lot in filled:
        line = fills[lot.pk].line
        arrived = min((came[vessel.pk, one] for one in line if (vessel.pk, one) in came), default=None)
        mine = [one for key in line for one in by_lot[key] if _counts(one, vessel, arrived)]
        mine += [one for one in undone[vessel.pk] if arrived and one.happened_at >= arrived]
        found[vessel.pk, lot.pk] = sorted(mine, key=lambda one: (one.happened_at, one.pk))
    return found


def _came(vessels: Collection[int], lots: Collection[int]) -> dict[tuple[int, int], datetime]:
    """Return when each of the lots first came into each of the tanks."""
    rows = Posting.objects.filter(to_location__in=vessels, lot__in=lots, event__reversed_by=None)
    first = rows.exclude(event__kind=Event.Kind.REVERSE).order_by().values_list("to_location", "lot")
    return {(vessel, lot): moment for vessel, lot, moment in first.annotate(came=Min("event__happened_at"))}


def _counts(reading: TankReading, vessel: Location, arrived: datetime | None) -> bool:
    return reading.vessel_id == vessel.pk or arrived is None or reading.happened_at < arrived


def _fermentation(
    vessel: Location,
    lot: Lot,
    fill: Fill,
    brews: Mapping[int, Brew],
    logs: Mapping[int, brew_log.Readings],
    readings: Sequence[TankReading],
    moment: datetime,
) -> Fermentation:
    brew = brews.get(fill.root)
    sheet = brew.sheet if brew else None
    gravities = [one for one in readings if one.property == _GRAVITY]
    began_at = fill.pitched_at or (gravities[0].happened_at if gravities else None)
    original = _original(fill, brews, logs, gravities)
    steady = [
        Gravity((one.happened_at - began_at).total_seconds() / _HOUR, figure_of(one))
        for one in gravities
        if began_at and (fill.steady_since is None or one.happened_at >= fill.steady_since)
    ]
    missing = missing_for_a_fit(steady)
    judgement = judge(
        steady,
        now_hours=(moment - began_at).total_seconds() / _HOUR if began_at else 0.0,
        original_plato=original.plato,
        aim_plato=sheet.final_gravity_milli_p / _MILLI if sheet else None,
    )
    return Fermentation(
        vessel,
        lot,
        fill,
        sheet,
        tuple(readings),
        began_at,
        original,
        None if missing else fit(steady),
        missing,
        judgement,
        _attenuation(original, gravities),
    )


def _original(
    fill: Fill, brews: Mapping[int, Brew], logs: Mapping[int, brew_log.Readings], gravities: Sequence[TankReading]
) -> Original:
    """Return the original gravity, weighted by volume over all that went in; water has none."""
    platos = {root: _wort_plato(brews.get(root), logs) for root in fill.shares}
    known = {root: plato for root, plato in platos.items() if plato is not None}
    if len(known) == len(platos):
        weighted = sum(fill.shares[root] * plato for root, plato in known.items())
        codes = ", ".join(sorted(brews[root].code for root in known))
        many = "gravities at knock-out, weighted by volume" if len(known) > 1 else "gravity at knock-out"
        return Original(weighted, f"{many}: {codes}")
    if gravities and fill.steady_since is None:
        return Original(figure_of(gravities[0]), "the first gravity read in the tank")
    return Original(None, "It needs the gravity at knock-out of every brew that went in.")


def _wort_plato(brew: Brew | None, logs: Mapping[int, brew_log.Readings]) -> float | None:
    log = logs[brew.pk] if brew else {}
    for step in (LogEntry.Step.KNOCK_OUT, LogEntry.Step.PITCHED):
        entry = log.get((step, LogEntry.Property.GRAVITY))
        if entry:
            return brew_log.figure_of(entry)
    return None


def _attenuation(original: Original, gravities: Sequence[TankReading]) -> Attenuation | None:
    if original.plato is None or not gravities:
        return None
    try:
        return attenuation(original.plato, figure_of(gravities[-1]))
    except OutOfRange:
        return None
