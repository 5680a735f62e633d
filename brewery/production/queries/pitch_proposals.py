"""What to pitch: the living cells that a tank's wort wants, and how much of each yeast on hand holds them.

Counts of slurries differ by a factor of 2.5 between sources, so a yeast that was never counted is offered without an
amount. What is alive is the last count less what stored yeast loses: pitching needs a fresh count.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from brewery.kernel.clock import brewery_day
from brewery.production.queries.fermentations import brews_of, fermentation_of
from brewery.production.queries.strains import strains_on
from brewery.production.queries.yeast_states import YeastState, states_of, yeast_on_hand
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO
from brewery.science.yeast import cells_wanted, living_cells, slurry_kg, slurry_l
from inventory.models import Balance, Location, Material
from inventory.services.stock import Part

SLURRY_KG_L = 1.05
"""Slurry weighs about 1.0 to 1.1 kg in a litre (memory): weigh a litre of the crop where it matters."""

ROUNDED_MICRO = 10_000
"""Proposals are told to ten grams or millilitres."""

_L_IN_HL = 100


@dataclass(frozen=True)
class Need:
    """What a wort wants: `cells` is None where its gravity is not known, and `why` says how it was reckoned or not."""

    beer: Material | None
    strain: Material | None
    cells: float | None
    why: str


@dataclass(frozen=True)
class Proposal:
    """A yeast on hand, how much of it lies there, and how much of it to pitch, or None where that cannot be told."""

    state: YeastState
    held_micro: int
    take_micro: int | None


def need_of(vessel: Location, moment: datetime) -> Need:
    """Return what the wort in the tank wants, by its brew's sheet; where that says no rate, by the strain's own."""
    told = fermentation_of(vessel, moment)
    if told is None:
        return Need(None, None, None, "The tank is empty.")
    brew = brews_of({told.fill.root}).get(told.fill.root)
    is_beer = told.lot.material.kind == Material.Kind.BEER
    beer = told.lot.material if is_beer else brew.beer if brew else None
    strain = told.sheet.yeast if told.sheet else None
    if told.original.plato is None:
        return Need(beer, strain, None, f"How much it wants cannot be told. {told.original.source}")
    volume_hl = _held_l(vessel) / _L_IN_HL
    rate, source = _rate(told.sheet.pitch_cells if told.sheet else None, strain, moment)
    try:
        cells = cells_wanted(rate, told.original.plato, volume_hl)
    except OutOfRange as refused:
        return Need(beer, strain, None, f"How much it wants cannot be told. {refused}")
    why = (
        f"{volume_hl * _L_IN_HL:.5g} L of {told.original.plato:.3g} °P ({told.original.source}) want "
        f"{cells / 1e12:.3g} million million living cells, at {rate:g} million for each mL and °P, by {source}."
    )
    return Need(beer, strain, cells, why)


def proposals(need: Need, moment: datetime) -> list[Proposal]:
    """Return all yeast on hand, that of the strain that is asked for first; the fittest are taken until it is enough.

    What is not fit, infected, barred or never counted is offered, and nothing of it is proposed.
    """
    wanted = need.strain.pk if need.strain else None
    held = sorted(yeast_on_hand(moment), key=lambda one: one[0].lot.material_id != wanted)
    missing, found = need.cells or 0.0, []
    for state, quantity_micro in held:
        is_of_it = wanted is None or state.lot.material_id == wanted
        is_free = is_of_it and state.is_fit and not state.is_infected and state.lot.disposition == "released"
        take = micro_for(state, missing) if missing > 0 and is_free else None
        take = None if take is None else min(take, quantity_micro)
        missing -= (cells_in(state, take) or 0.0) if take else 0.0
        found.append(Proposal(state, quantity_micro, take))
    return found


def cells_in(state: YeastState, quantity_micro: int) -> float | None:
    """Return the living cells in so much of a yeast, or None where it was not counted."""
    if not state.cells_per_ml or not state.viability_pct:
        return None
    litres = quantity_micro / MICRO / (SLURRY_KG_L if state.lot.material.base_unit == Material.BaseUnit.KG else 1)
    try:
        return living_cells(litres, state.cells_per_ml, state.viability_pct)
    except OutOfRange:
        return None


def micro_for(state: YeastState, cells: float) -> int | None:
    """Return how much of a yeast holds so many living cells, in its own unit, or None where it was not counted."""
    if not state.cells_per_ml or not state.viability_pct:
        return None
    try:
        amount = slurry_l(cells, state.cells_per_ml, state.viability_pct)
        if state.lot.material.base_unit == Material.BaseUnit.KG:
            amount = slurry_kg(amount, SLURRY_KG_L)
    except OutOfRange:
        return None
    return -(-round(amount * MICRO) // ROUNDED_MICRO) * ROUNDED_MICRO


def told_of(need: Need, parts: Sequence[Part], moment: datetime) -> list[str]:
    """Return what to know before it is pitched: what is wanted, what each yeast brings, and the share of it."""
    told, brought = [need.why], []
    states = states_of([(part.lot, part.location) for part in parts], moment)
    for part, state in zip(parts, states, strict=True):
        cells = cells_in(state, part.quantity_micro)
        brought.append(cells)
        told.append(_brings(state, cells))
        if state.is_infected:
            told.append(f"Lot {state.lot.code}: {state.next_step}")
    if need.cells and None not in brought:
        share = 100 * sum(cells or 0.0 for cells in brought) / need.cells
        told.append(f"Together that is {share:.0f} % of what is wanted.")
    return told


def _brings(state: YeastState, cells: float | None) -> str:
    age = f"Lot {state.lot.code}, generation {state.lot.generation or 'not told'}"
    if cells is None:
        return f"{age}, was not counted, so what it brings is not known: count it before it is pitched."
    is_weighed = state.lot.material.base_unit == Material.BaseUnit.KG
    weight = f", a litre taken to weigh {SLURRY_KG_L} kg" if is_weighed else ""
    return (
        f"{age}, brings {cells / 1e12:.3g} million million: {state.viability_pct:.3g} % alive {state.why}, "
        f"{(state.cells_per_ml or 0) / 1e6:.4g} million cells in a mL{weight}."
    )


def tanks_for_yeast() -> list[Balance]:
    """Return the wort and beer that lie in fermenters, by tank: yeast goes into these, and comes from them."""
    rows = Balance.objects.filter(
        quantity_micro__gt=0,
        location__kind=Location.Kind.FERMENTER,
        lot__material__kind__in=(Material.Kind.WORT, Material.Kind.BEER),
    )
    return list(rows.select_related("location", "lot__material").order_by("location__code"))


def _rate(pitch_cells: int | None, strain: Material | None, moment: datetime) -> tuple[float, str]:
    if pitch_cells:
        return pitch_cells / MICRO, "the sheet"
    key = strain.pk if strain else 0
    held_to = strains_on({key}, brewery_day(moment))[key]
    return held_to.rate, held_to.source


def _held_l(vessel: Location) -> float:
    rows = vessel.balances.filter(quantity_micro__gt=0).values_list("quantity_micro", flat=True)
    return sum(rows) / MICRO
