"""The brewhouse's own figures of a brew: yield and losses, each saying from which readings and draws it comes."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import F, Q, QuerySet

from brewery.kernel.clock import on_the_wall
from brewery.production.models import Brew, LogEntry
from brewery.production.queries.brew_log import Readings, figure_of, in_words, readings_by_brew
from brewery.science.attenuation import apparent_attenuation_pct
from brewery.science.contraction import WORT_CONTRACTION_PCT
from brewery.science.grain import brewhouse_yield_pct
from brewery.science.gravity import extract_kg
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO
from inventory.models import Event, Lot, Material, Posting

_Step, _Property = LogEntry.Step, LogEntry.Property
GRAIN = (Material.Kind.MALT, Material.Kind.ADJUNCT)
_L_PER_HL = 100


@dataclass(frozen=True)
class Figure:
    """One computed figure: its value, or None; and from what it comes, or what is missing."""

    key: str
    label: str
    value: float | None
    unit: str
    source: str


def figures_of(brew: Brew) -> list[Figure]:
    """Return yield, losses and attenuation of a brew, in the order of the day. Volumes are at 20 °C."""
    return figures_by_brew([brew])[brew.pk]


def figures_by_brew(brews: Sequence[Brew]) -> dict[int, list[Figure]]:
    """Return the figures of each brew, by its key; the same statements however many brews."""
    readings, grain, worts = readings_by_brew(brews), _grain_drawn_micro(brews), _worts(brews)
    return {
        brew.pk: _figures(readings[brew.pk], grain.get(brew.location_id, 0) / MICRO, worts.get(brew.location_id))
        for brew in brews
    }


def movements_of(brews: Sequence[Brew]) -> QuerySet[Posting]:
    """Return what was drawn for the brews and brought back from them, without what was reversed."""
    places = [brew.location_id for brew in brews]
    drawn = Q(to_location__in=places, event__kind=Event.Kind.DRAW)
    back = Q(from_location__in=places, event__kind=Event.Kind.RETURN_TO_STOCK)
    return Posting.objects.filter(drawn | back, event__reversed_by=None)


def _grain_drawn_micro(brews: Sequence[Brew]) -> dict[int, int]:
    """Return by place of a brew the malt and adjuncts that it took, in milligrams: draws less what came back."""
    moved = movements_of(brews).filter(lot__material__kind__in=GRAIN, lot__material__base_unit="kg")
    taken: dict[int, int] = defaultdict(int)
    for kind, to, back_from, micro in moved.values_list(
        "event__kind", "to_location", "from_location", "quantity_micro"
    ):
        is_draw = kind == Event.Kind.DRAW
        taken[to if is_draw else back_from] += micro if is_draw else -micro
    return taken


def _worts(brews: Sequence[Brew]) -> dict[int, Lot]:
    """Return by place of a brew the wort lot that it became; a brew that is not knocked out has none."""
    rows = Lot.objects.filter(
        made_by__kind=Event.Kind.KNOCK_OUT,
        made_by__reversed_by=None,
        made_by__postings__from_location__in=[brew.location_id for brew in brews],
        material__kind=Material.Kind.WORT,
    ).annotate(came_from=F("made_by__postings__from_location"))
    return {vars(lot)["came_from"]: lot for lot in rows}


def _figures(readings: Readings, grain_kg: float, wort: Lot | None) -> list[Figure]:
    return [_evaporation(readings), _contraction(readings), _trub(readings), *_extract(readings, grain_kg, wort)]


def _evaporation(readings: Readings) -> Figure:
    full, out = _volume(readings, _Step.KETTLE_FULL), _volume(readings, _Step.CAST_OUT)
    if not full or not out:
        return _missing("evaporation", "Evaporation", "%", "the volumes of the full kettle and cast out")
    share = 100 * (figure_of(full) - figure_of(out)) / figure_of(full)
    return Figure("evaporation", "Evaporation", share, "%", _from(full, out))


def _contraction(readings: Readings) -> Figure:
    out = _volume(readings, _Step.CAST_OUT)
    label = "Contraction on cooling"
    if not out or not out.is_hot:
        return _missing("contraction", label, "L", "the volume cast out, read hot")
    shrunk = (out.value_micro or 0) / MICRO - figure_of(out)
    return Figure("contraction", label, shrunk, "L", f"{_from(out)}, at {WORT_CONTRACTION_PCT:g} % of boiling wort")


def _trub(readings: Readings) -> Figure:
    out, cold = _volume(readings, _Step.CAST_OUT), _volume(readings, _Step.KNOCK_OUT)
    label = "Loss to hops and trub"
    if not out or not cold:
        return _missing("trub_loss", label, "%", "the volumes cast out and knocked out")
    return Figure("trub_loss", label, 100 * (1 - figure_of(cold) / figure_of(out)), "%", _from(out, cold))


def _extract(readings: Readings, grain_kg: float, wort: Lot | None) -> list[Figure]:
    gravity = readings.get((_Step.KNOCK_OUT, _Property.GRAVITY))
    volume_l, told = _cold_wort(readings, wort)
    extract = _extract_kg(volume_l, gravity)
    if extract is None or gravity is None:
        wanted = "the gravity and the volume at knock-out"
        won = _missing("extract", "Extract in the cold wort", "kg", wanted)
        return [won, _missing("brewhouse_yield", "Brewhouse yield", "%", wanted), _attenuation(readings)]
    source = f"{_from(gravity)}; {told}"
    figures = [Figure("extract", "Extract in the cold wort", extract, "kg", source)]
    if grain_kg <= 0 or extract > grain_kg:
        figures.append(_missing("brewhouse_yield", "Brewhouse yield", "%", "the grain, all of it drawn by the ledger"))
    else:
        share = brewhouse_yield_pct(extract, grain_kg)
        figures.append(
            Figure("brewhouse_yield", "Brewhouse yield", share, "%", f"{source}; {grain_kg:.6g} kg of grain drawn")
        )
    return [*figures, _attenuation(readings)]


def _attenuation(readings: Readings) -> Figure:
    start, end = (readings.get((step, _Property.GRAVITY)) for step in (_Step.KNOCK_OUT, _Step.FINISHED))
    label = "Apparent attenuation"
    if not start or not end:
        return _missing("attenuation", label, "%", "the gravities at knock-out and of the finished beer")
    try:
        share = apparent_attenuation_pct(figure_of(start), figure_of(end))
    except OutOfRange as wrong:
        return Figure("attenuation", label, None, "%", wrong.problem)
    return Figure("attenuation", label, share, "%", _from(start, end))


def _cold_wort(readings: Readings, wort: Lot | None) -> tuple[float, str]:
    """Return the litres of cold wort and who says so: the log, or else the ledger."""
    read = _volume(readings, _Step.KNOCK_OUT)
    if read:
        return figure_of(read), _from(read)
    return (wort.made_micro / MICRO, f"wort lot {wort.code} as knocked out") if wort else (0.0, "")


def _extract_kg(volume_l: float, gravity: LogEntry | None) -> float | None:
    if not volume_l or gravity is None:
        return None
    try:
        return extract_kg(volume_l / _L_PER_HL, figure_of(gravity))
    except OutOfRange:
        return None


def _volume(readings: Readings, step: str) -> LogEntry | None:
    entry = readings.get((step, _Property.VOLUME))
    return entry if entry and entry.value_micro else None


def _from(*entries: LogEntry) -> str:
    return "; ".join(
        f"{entry.get_step_display()}: {in_words(entry)}, {on_the_wall(entry.happened_at)}" for entry in entries
    )


def _missing(key: str, label: str, unit: str, wanted: str) -> Figure:
    return Figure(key, label, None, unit, f"It needs {wanted}.")
