"""What a brew by a sheet is expected to give on a day, each figure with its reason, beside what the sheet wants."""

from collections.abc import Callable

from brewery.production.queries.hop_doses import doses_of
from brewery.production.queries.sheet_bitterness import bitterness_of
from brewery.production.queries.sheet_contents import SheetContent
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_liquor import predicted_ions
from brewery.production.queries.sheet_scaling import cold_hl, extract_wanted_kg, grain_micro, grist_micro
from brewery.production.queries.sheet_stock import SheetStock
from brewery.science.attenuation import attenuation
from brewery.science.colour import predicted_colour
from brewery.science.contraction import WORT_CONTRACTION_PCT, hot_volume_hl
from brewery.science.estimates import Estimate
from brewery.science.grain import GristPart, theoretical_extract_kg
from brewery.science.gravity import plato_of_extract
from brewery.science.ranges import OutOfRange
from brewery.science.units import MICRO
from brewery.science.yeast import cells_wanted

_MILLI, _PPM_PER_PCT = 1_000, 10_000


def predictions_of(content: SheetContent, stock: SheetStock, own: Estimate | None = None) -> list[Prediction]:
    """Return what the sheet is expected to give, in the order of the day.

    `own`: what the brewery's own brews of the beer measured of the bitterness that the table foretold.
    """
    doses = doses_of(content.hops, stock)
    told = [
        *_told("grist", "Grain", "kg", lambda: [_grist(content)]),
        *_told("extract", "Extract of the grain", "%", lambda: [_extract(content, stock)]),
        *_told("original_gravity", "Original gravity", "°P", lambda: [_gravity(content, stock)]),
        *_told("kettle_full", "Wort in the full kettle, hot", "hL", lambda: [_kettle(content)]),
        *_told("ions", "Ions of the liquor", "mg/L", lambda: predicted_ions(content, stock)),
        *_told("bitterness", "Bitterness", "BU", lambda: [bitterness_of(content, doses, own)]),
        *_told("colour", "Colour", "EBC", lambda: [_colour(content, stock)]),
        *_told("alcohol", "Alcohol", "% vol", lambda: _alcohol(content)),
        *_told("cells", "Living yeast cells", "× 10¹² cells", lambda: [_cells(content)]),
    ]
    return told


def usual_extract(content: SheetContent, stock: SheetStock) -> tuple[float, float] | None:
    """Return the extract as-is in % of the grain that is here and of the grain as it usually comes, or None.

    Both are means by weight; None where the certificates do not tell it of every grain.
    """
    here, usual = [], []
    for grain, weight in zip(content.grains, grain_micro(content), strict=True):
        stated, mean = (
            stock.figure(grain.material, "extract_fine_as_is", weight),
            stock.usual_as_is.get(grain.material.pk),
        )
        if stated is None or mean is None:
            return None
        here.append(GristPart(weight / MICRO, stated.value))
        usual.append(GristPart(weight / MICRO, mean[0]))
    whole = grist_micro(content) / MICRO
    if not whole:
        return None
    return 100 * theoretical_extract_kg(here) / whole, 100 * theoretical_extract_kg(usual) / whole


def _told(key: str, label: str, unit: str, predict: Callable[[], list[Prediction]]) -> list[Prediction]:
    """Return what is predicted, or why the formula was not made for what the sheet says."""
    try:
        return predict()
    except OutOfRange as wrong:
        return [Prediction(key, label, unit, None, str(wrong))]


def _grist(content: SheetContent) -> Prediction:
    if not content.grains:
        return Prediction("grist", "Grain", "kg", None, "The sheet lists no grain.")
    weight = grist_micro(content) / MICRO
    if content.grains[0].weight_micro is not None:
        return Prediction("grist", "Grain", "kg", weight, "The weights of the sheet.")
    reason = (
        f"{cold_hl(content):g} hL at {content.original_gravity_milli_p / _MILLI:g} °P hold "
        f"{extract_wanted_kg(content):.1f} kg of extract, of which the yield of {_yield_pct(content):g} % makes this."
    )
    return Prediction("grist", "Grain", "kg", weight, reason)


def _extract(content: SheetContent, stock: SheetStock) -> Prediction:
    both = usual_extract(content, stock) if content.grains else None
    if both is None:
        reason = "The certificates do not tell the extract of every grain."
        return Prediction("extract", "Extract of the grain", "%", None, reason)
    here, usual = both
    sources = "; ".join(
        f"{grain.material}: {stated.source}"
        for grain, weight in zip(content.grains, grain_micro(content), strict=True)
        if (stated := stock.figure(grain.material, "extract_fine_as_is", weight))
    )
    efficiency = 100 * _yield_pct(content) / usual
    reason = (
        f"As it is, by weight: {sources}. Usually these malts hold {usual:.2f} %, of which the yield of "
        f"{_yield_pct(content):g} % is {efficiency:.1f} %."
    )
    return Prediction("extract", "Extract of the grain", "%", here, reason)


def _gravity(content: SheetContent, stock: SheetStock) -> Prediction:
    target = content.original_gravity_milli_p / _MILLI
    if not content.grains:
        return _missing_gravity(target)
    both = usual_extract(content, stock)
    ratio = both[0] / both[1] if both else 1
    won_kg = grist_micro(content) / MICRO * _yield_pct(content) / 100 * ratio
    value = plato_of_extract(won_kg, cold_hl(content))
    reason = f"{grist_micro(content) / MICRO:.1f} kg of grain at a yield of {_yield_pct(content):g} %"
    if both:
        reason += f", times {ratio:.4f} for the extract of the lots that are here against what is usual"
    return Prediction(
        "original_gravity", "Original gravity", "°P", value, f"{reason}: {won_kg:.1f} kg of extract.", target=target
    )


def _missing_gravity(target: float) -> Prediction:
    reason = "The sheet lists no grain."
    return Prediction("original_gravity", "Original gravity", "°P", None, reason, target=target)


def _kettle(content: SheetContent) -> Prediction:
    hot = hot_volume_hl(cold_hl(content))
    evaporated = content.evaporation_ppm / MICRO
    reason = (
        f"{cold_hl(content):g} hL cold are {hot:.2f} hL boiling ({WORT_CONTRACTION_PCT:g} % of it is contraction), "
        f"and {100 * evaporated:g} % of the full kettle boils away."
    )
    return Prediction("kettle_full", "Wort in the full kettle, hot", "hL", hot / (1 - evaporated), reason)


def _colour(content: SheetContent, stock: SheetStock) -> Prediction:
    target = None if content.colour_milli_ebc is None else content.colour_milli_ebc / _MILLI
    weights = list(zip(content.grains, grain_micro(content), strict=True))
    stated = [(grain.material, weight, stock.figure(grain.material, "colour", weight)) for grain, weight in weights]
    unknown = [str(material) for material, _, figure in stated if figure is None]
    if unknown or not stated:
        reason = f"No certificate tells the colour of {', '.join(unknown)}." if unknown else "The sheet lists no grain."
        return Prediction("colour", "Colour", "EBC", None, reason, target=target)
    found = predicted_colour(
        ((weight / MICRO, figure.value) for _, weight, figure in stated if figure), cold_hl(content)
    )
    beyond = " Darker than the equation was fitted for." if found.is_extrapolated else ""
    sources = "; ".join(f"{material}: {figure.source}" for material, _, figure in stated if figure)
    return Prediction("colour", "Colour", "EBC", found.ebc, f"By Morey's equation. {sources}.{beyond}", target=target)


def _alcohol(content: SheetContent) -> list[Prediction]:
    original, final = content.original_gravity_milli_p / _MILLI, content.final_gravity_milli_p / _MILLI
    found = attenuation(original, final)
    by, words = found.alcohol_by_volume_pct, f"Balling, from {original:g} to {final:g} °P"
    return [
        Prediction(
            "alcohol",
            "Alcohol",
            "% vol",
            by.value,
            f"{words}. For a label or for duty it is measured, and the local rules count.",
            by.low,
            by.high,
        ),
        Prediction("attenuation", "Apparent attenuation", "%", found.apparent_pct, f"{words}."),
    ]


def _cells(content: SheetContent) -> Prediction:
    if content.pitch_cells is None:
        return Prediction("cells", "Living yeast cells", "× 10¹² cells", None, "The sheet says no pitching rate.")
    million, plato = content.pitch_cells / 1e6, content.original_gravity_milli_p / _MILLI
    cells = cells_wanted(million, plato, cold_hl(content))
    reason = f"{million:g} million for each mL and °P, {plato:g} °P, {cold_hl(content):g} hL."
    return Prediction("cells", "Living yeast cells", "× 10¹² cells", cells / 1e12, reason)


def _yield_pct(content: SheetContent) -> float:
    return content.yield_ppm / _PPM_PER_PCT
