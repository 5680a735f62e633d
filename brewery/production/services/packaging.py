"""Packaging: beer from tanks and what was drawn for the run become packaged lots, a fill at a time."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from brewery.kernel.clock import on_the_wall
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import FilledTank, PackagingFill, PackagingRun, RunFinish
from brewery.production.queries.packaging_codes import best_before_for
from brewery.production.services.filled_tanks import Drained, TankDraw, count_by_gauges, drained
from brewery.production.services.packaging_rules import code_by_rule
from brewery.production.services.refusals import MoreThanLiesInTheRun
from brewery.production.services.tanks import refuse_more_than_held, whole_contents
from brewery.production.services.work import drawn_parts, refuse_finished
from brewery.science.filling import share_of_drawn
from brewery.science.lot_patterns import Filled
from brewery.science.units import MICRO
from inventory.models import Event, Location, Lot, Material
from inventory.services.checks import LARGEST_MICRO, refuse_not_positive, shown
from inventory.services.mixing import consume
from inventory.services.pallets import enter_pallet
from inventory.services.posting import LotFacts, Recording, recording
from inventory.services.refusals import WrongMaterial
from inventory.services.registers import boundary
from inventory.services.stock import Part, refuse_other_places

LONGEST_LINE = 8


@dataclass(frozen=True)
class Counted:
    """What was counted of one fill, and how it is called.

    `rejects` were filled and thrown out. Without a code or a best-before day the brewery's rule gives them.
    """

    count: int
    rejects: int = 0
    code: str = ""
    best_before: date | None = None
    line: str = ""
    began_at: datetime | None = None


@once("package", returns=Event)
def package(
    *,
    run: PackagingRun,
    vessel: Location,
    material: Material,
    packaged_code: str,
    count: int,
    loss_micro: int,
    location: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    best_before: date | None = None,
    override_reason: str = "",
) -> Event:
    """The whole run in one step: all that it had drawn is in the one lot that it filled, and the run is finished.

    The beer filled is the count times what one holds; `loss_micro` of beer leaves the tank besides. Raises
    AlreadyPackaged, NothingDrawn, VesselEmpty, MoreThanTheTankHolds, WrongMaterial, WrongPlace, and the refusals of
    the ledger.
    """
    event = _write_fill(
        run,
        material,
        [TankDraw(vessel)],
        Counted(count, code=packaged_code, best_before=best_before),
        location,
        loss_micro=loss_micro,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
        override_reason=override_reason,
    )
    RunFinish.objects.create(event=event, run=run)
    return event


@once("fill", returns=Event)
def fill(
    *,
    run: PackagingRun,
    material: Material,
    tanks: Sequence[TankDraw],
    counted: Counted,
    location: Location,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    loss_micro: int = 0,
    used: Sequence[Part] | None = None,
    wasted: Sequence[Part] = (),
    still_to_come: int = 0,
    on_new_pallet: bool = False,
    gauge_reason: str = "",
    override_reason: str = "",
) -> Event:
    """One packaged lot lies in the store or on the pallet; the run stays under way.

    What left the tanks and is in no package is loss. `used` says which of the drawn materials are in it; where it is
    left out, every lot that lies in the run gives its share by count, with `still_to_come` to be filled later, and the
    last fill takes the rest. `wasted` of them is loss. With `on_new_pallet` a new pallet stands in the store and takes
    it. With a `gauge_reason` the book is put right by a gauge that says more at the start: a count of its own, which
    stands when the fill is undone. Raises GaugeAboveTheBook, AlreadyPackaged, NothingDrawn, MoreThanLiesInTheRun, what
    `drained` raises, MoreThanTheTankHolds, WrongMaterial, WrongPlace, InvalidInput, and the refusals of the ledger.
    """
    if on_new_pallet:
        unit = enter_pallet(stands_in=location, made_at=happened_at, request_id=request_id)
        location = unit.location
    return _write_fill(
        run,
        material,
        tanks,
        counted,
        location,
        loss_micro=loss_micro,
        used=used,
        wasted=wasted,
        still_to_come=still_to_come,
        gauge_reason=gauge_reason,
        happened_at=happened_at,
        actor=actor,
        request_id=request_id,
        override_reason=override_reason,
    )


def _write_fill(
    run: PackagingRun,
    material: Material,
    tanks: Sequence[TankDraw],
    counted: Counted,
    location: Location,
    *,
    loss_micro: int,
    happened_at: datetime,
    actor: User,
    request_id: UUID,
    override_reason: str,
    used: Sequence[Part] | None = None,
    wasted: Sequence[Part] = (),
    still_to_come: int = 0,
    gauge_reason: str = "",
) -> Event:
    refuse_finished(run)
    _refuse_counts(counted, loss_micro, still_to_come)
    _refuse_times(run, counted, happened_at)
    each = _contents_of(material)
    refuse_other_places(location, (Location.Kind.STORE, Location.Kind.PALLET), "store")
    lying = drawn_parts(run)
    began_at = counted.began_at or happened_at
    others = [part.lot for part in lying]
    count_by_gauges(tanks, others, happened_at=began_at, actor=actor, request_id=request_id, reason=gauge_reason)
    taken = _materials(lying, used, wasted, counted.count + counted.rejects, still_to_come)
    beers = drained(tanks, counted.count * each, counted.rejects * each, loss_micro)
    code, best_before = _named(counted, material, happened_at, tanks[0].vessel)
    with recording(
        Event.Kind.PACKAGE,
        actor=actor,
        request_id=request_id,
        happened_at=happened_at,
        reference=run.code,
        uses=[*(beer.lot for beer in beers), *(part.lot for part in lying)],
        override_reason=override_reason,
    ) as record:
        for beer in beers:
            held = whole_contents(record, record.lot(beer.lot), beer.tank.vessel)
            refuse_more_than_held(held, beer.left_micro)
        lot = record.make(code, material, counted.count * MICRO, LotFacts(best_before=best_before))
        _post(record, lot, beers, taken, wasted, location)
    _keep(record.event, run, lot, counted, beers)
    return record.event


def _post(
    record: Recording,
    lot: Lot,
    beers: Sequence[Drained],
    taken: Sequence[Part],
    wasted: Sequence[Part],
    location: Location,
) -> None:
    transformed, loss = boundary(Location.Kind.TRANSFORMED), boundary(Location.Kind.LOSS)
    in_it = [Part(beer.lot, beer.tank.vessel, beer.packed_micro) for beer in beers if beer.packed_micro]
    for part in [*in_it, *taken]:
        consume(record, part, lot, transformed)
    lost = [Part(beer.lot, beer.tank.vessel, beer.lost_micro) for beer in beers if beer.lost_micro]
    for part in [*lost, *wasted]:
        record.post(record.lot(part.lot), from_=part.location, to=loss, quantity_micro=part.quantity_micro)
    record.post(lot, from_=transformed, to=location, quantity_micro=lot.made_micro)


def _keep(event: Event, run: PackagingRun, lot: Lot, counted: Counted, beers: Sequence[Drained]) -> None:
    row = PackagingFill.objects.create(
        event=event,
        run=run,
        lot=lot,
        count=counted.count,
        rejects=counted.rejects,
        loss_micro=sum(beer.lost_micro for beer in beers),
        line=counted.line,
        began_at=counted.began_at,
    )
    FilledTank.objects.bulk_create(
        FilledTank(
            fill=row,
            vessel=beer.tank.vessel,
            lot=beer.lot,
            left_micro=beer.left_micro,
            gauge_start_micro=beer.tank.gauge_start_micro,
            gauge_end_micro=beer.tank.gauge_end_micro,
        )
        for beer in beers
    )


def _refuse_counts(counted: Counted, loss_micro: int, still_to_come: int) -> None:
    refuse_not_positive(counted.count * MICRO, "count", "each")
    for name, number in (("rejects", counted.rejects), ("still_to_come", still_to_come)):
        if not 0 <= number < LARGEST_MICRO // MICRO:
            raise InvalidInput(field=name, value=number, problem="Give none, or a number above zero.")
    if loss_micro:
        refuse_not_positive(loss_micro, "quantity", "L")
    if len(counted.line) > LONGEST_LINE:
        problem = f"The name of a line has {LONGEST_LINE} characters at most."
        raise InvalidInput(field="line", value=counted.line, problem=problem)


def _refuse_times(run: PackagingRun, counted: Counted, happened_at: datetime) -> None:
    began_at = counted.began_at
    if began_at and not run.started_at <= began_at <= happened_at:
        problem = f"A fill begins after {on_the_wall(run.started_at)}, when the run did, and before its own end."
        raise InvalidInput(field="began_at", value=on_the_wall(began_at), problem=problem)


def _contents_of(material: Material) -> int:
    if material.kind != Material.Kind.PACKAGED or material.contents_micro is None:
        raise WrongMaterial(
            lot=material.name, kind=material.get_kind_display(), wanted="packaged beer", field="material"
        )
    return material.contents_micro


def _materials(
    lying: Sequence[Part], used: Sequence[Part] | None, wasted: Sequence[Part], filled: int, still_to_come: int
) -> list[Part]:
    """Return what of the drawn materials is in the fill. Raises MoreThanLiesInTheRun where that is not there."""
    there = {part.lot.pk: part for part in lying}
    for part in wasted:
        refuse_not_positive(part.quantity_micro, "wasted", part.lot.material.base_unit)
        _take(there, part, "wasted")
    if used is None:
        shares = ((part, _share(part, filled, still_to_come)) for part in there.values())
        return [Part(part.lot, part.location, share) for part, share in shares if share]
    for part in used:
        refuse_not_positive(part.quantity_micro, "used", part.lot.material.base_unit)
        _take(there, part, "used")
    return list(used)


def _share(part: Part, filled: int, still_to_come: int) -> int:
    is_counted = part.lot.material.base_unit == Material.BaseUnit.EACH
    return share_of_drawn(part.quantity_micro, filled, still_to_come, is_counted=is_counted)


def _take(there: dict[int, Part], part: Part, field: str) -> None:
    lying = there.get(part.lot.pk)
    held = lying.quantity_micro if lying and lying.location == part.location else 0
    if lying is None or part.quantity_micro > held:
        raise MoreThanLiesInTheRun(
            run=part.location,
            held=shown(held, part.lot),
            lot=part.lot.code,
            asked=shown(part.quantity_micro, part.lot),
            field=field,
        )
    there[part.lot.pk] = Part(lying.lot, lying.location, held - part.quantity_micro)


def _named(counted: Counted, material: Material, moment: datetime, vessel: Location) -> tuple[str, date | None]:
    filled = Filled(moment, counted.line, vessel.code)
    code = counted.code or code_by_rule(material, filled)
    return code, counted.best_before or best_before_for(material, moment)
