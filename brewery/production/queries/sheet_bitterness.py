"""How bitter a beer is expected to be: by the alpha acids of the lots that would be taken, and how they are used."""

from brewery.production.models import SheetHop
from brewery.production.queries.hop_doses import HopDose
from brewery.production.queries.sheet_contents import HopLine, SheetContent
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_scaling import cold_hl
from brewery.science.bitterness import HopAddition, predicted_bitterness
from brewery.science.estimates import Estimate
from brewery.science.gravity import specific_gravity
from brewery.science.isomerisation import Heat, isomerised
from brewery.science.units import MICRO
from brewery.science.utilisation import kinetic_utilisation, measured_survival, table_utilisation

_MILLI, _G_PER_KG = 1_000, 1_000
ALPHA_ROOM, UTILISATION_ROOM = 0.05, 0.20
"""How far an assay and a utilisation from the table may be off, as shares of them (common practice, no source)."""

_ANY_ALPHA_PCT = 10.0
"""Alpha acids that no lot is there for are thought of as hops of this much, which changes nothing."""


def bitterness_of(content: SheetContent, doses: list[HopDose], own: Estimate | None = None) -> Prediction:
    """Return the bitterness of the cold wort's volume with its interval. Raises OutOfRange.

    `own`: what the brewery's own brews measured of what this foretells without it.
    """
    target = None if content.bitterness_milli_bu is None else content.bitterness_milli_bu / _MILLI
    unknown = [
        dose.line.material.name for dose in doses if dose.line.stage != SheetHop.Stage.COLD and _is_unknown(dose)
    ]
    if unknown:
        reason = f"No certificate tells the alpha acids of {', '.join(unknown)}."
        return Prediction("bitterness", "Bitterness", "BU", None, reason, target=target)
    boil_sg = specific_gravity(_boil_plato(content))
    additions = [addition for dose in doses for addition in _additions(dose, utilisation_of(dose.line, boil_sg))]
    estimate = predicted_bitterness(additions, cold_hl(content))
    parts = "; ".join(_part(dose, utilisation_of(dose.line, boil_sg), content) for dose in doses) or "no hops"
    reason = (
        f"{parts}. Boil and first wort by the published table at {boil_sg:.4f}, whirlpool by isomerisation at its "
        f"temperature; give or take {UTILISATION_ROOM:.0%} for that and {ALPHA_ROOM:.0%} for each assay."
    )
    if own:
        low, high = estimate.value * own.low, estimate.value * own.high
        reason = f"{reason} Of that the brews of this beer measured {own.value:.3g} ({own.low:.3g} to {own.high:.3g})."
        estimate = Estimate(estimate.value * own.value, low, high)
    return Prediction("bitterness", "Bitterness", "BU", estimate.value, reason, estimate.low, estimate.high, target)


def utilisation_of(line: HopLine, boil_sg: float) -> float:
    """Return the part of the alpha acids that is used, of the cold wort; nothing of hops in the cold.

    A whirlpool counts as so much of an hour's boil as it isomerises at its temperature.
    """
    if line.stage == SheetHop.Stage.COLD:
        return 0.0
    if line.stage != SheetHop.Stage.WHIRLPOOL:
        return table_utilisation(line.minutes, boil_sg)
    survival = measured_survival(table_utilisation(60, boil_sg), isomerised([Heat.steady(60, 100)]))
    heated = isomerised([Heat.steady(line.minutes, (line.temperature_milli_c or 0) / _MILLI)])
    return kinetic_utilisation(heated, Estimate.exact(survival)).value


def _boil_plato(content: SheetContent) -> float:
    """Return the mean extract of the boil: half of what evaporates is still there."""
    return content.original_gravity_milli_p / _MILLI * (1 - content.evaporation_ppm / MICRO / 2)


def _is_unknown(dose: HopDose) -> bool:
    if dose.line.alpha_micro is not None:
        return False
    return not dose.parts or any(part.alpha_pct is None for part in dose.parts)


def _additions(dose: HopDose, utilisation: float) -> list[HopAddition]:
    if not utilisation:
        return []
    used = Estimate.give_or_take(utilisation, utilisation * UTILISATION_ROOM)
    alphas = [(alpha_kg, pct) for alpha_kg, pct in _alpha_parts(dose) if alpha_kg]
    return [
        HopAddition(alpha_kg * 100 / pct, Estimate.give_or_take(pct, pct * ALPHA_ROOM), used)
        for alpha_kg, pct in alphas
    ]


def _alpha_parts(dose: HopDose) -> list[tuple[float, float]]:
    """Return the alpha acids of each part in kg, and the alpha in % that they are of."""
    parts = [(part.weight_micro / MICRO * (part.alpha_pct or 0) / 100, part.alpha_pct or 0) for part in dose.parts]
    if not dose.missing_micro:
        return parts
    pct = dose.parts[-1].alpha_pct or _ANY_ALPHA_PCT if dose.parts else _ANY_ALPHA_PCT
    missing_kg = dose.missing_micro / MICRO * (1 if dose.line.alpha_micro is not None else pct / 100)
    return [*parts, (missing_kg, pct)]


def _part(dose: HopDose, utilisation: float, content: SheetContent) -> str:
    line, alpha_g = dose.line, _G_PER_KG * sum(alpha_kg for alpha_kg, _ in _alpha_parts(dose))
    bitterness = alpha_g * utilisation * 10 / cold_hl(content)
    stage = SheetHop.Stage(line.stage).label
    return (
        f"{line.material}, {stage} {line.minutes} min: {alpha_g:.1f} g alpha × {utilisation:.3f} = {bitterness:.1f} BU"
    )
