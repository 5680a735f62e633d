"""The ions that the liquor of a sheet is expected to hold: the water's own, and what its salts bring."""

from brewery.production.models import SheetSalt
from brewery.production.queries.sheet_contents import SheetContent
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_stock import SheetStock
from brewery.science.liquor import with_salts
from brewery.science.salts import SALTS, Ion, Salt
from brewery.science.units import MICRO
from inventory.models import Material

_MILLI, _L_PER_HL, _G_PER_KG = 1_000, 100, 1_000


def predicted_ions(content: SheetContent, stock: SheetStock) -> list[Prediction]:
    """Return each ion that the water states or the sheet wants. Raises OutOfRange."""
    wanted = {target.ion: target.milli_mg_per_l / _MILLI for target in content.ions}
    volume = sum(micro or 0 for micro in (content.mash_liquor_micro, content.sparge_liquor_micro)) / MICRO
    salts, reason = _salts(content)
    if content.liquor is None or not volume:
        reason = "Say which water it is, and how much of it is mashed and sparged with."
    elif not any(stock.figure(content.liquor, ion, 0) for ion in Ion):
        reason = f"No certificate of {content.liquor} states its ions."
    if reason or content.liquor is None:
        return [_ion(ion, None, reason, target) for ion, target in wanted.items()]
    water = {ion: stated.value for ion in Ion if (stated := stock.figure(content.liquor, ion, 0))}
    ions = with_salts(water, salts, volume / _L_PER_HL)
    words = ", ".join(f"{grams:g} g {salt.name}" for salt, grams in salts.items()) or "no salts"
    told = [ion for ion in Ion if ion in ions or ion in wanted]
    return [
        _ion(
            ion,
            ions.get(ion, 0),
            f"{water.get(ion, 0):g} mg/L in {content.liquor}, with {words} in {volume:g} L.",
            wanted.get(ion),
        )
        for ion in told
    ]


def _salts(content: SheetContent) -> tuple[dict[Salt, float], str]:
    """Return the grams of each salt in the liquor, or why they cannot be told. What goes to the kettle is no liquor."""
    grams: dict[Salt, float] = {}
    for line in content.salts:
        salt = salt_of(line.material)
        if line.into == SheetSalt.Into.KETTLE:
            continue
        if salt is None:
            return {}, f"Say in the settings of {line.material} which salt it is, with its water of crystallisation."
        if not salt.only_dissolves:
            return {}, f"What {salt.name} does depends on mash and gas."
        grams[salt] = grams.get(salt, 0) + line.quantity_micro / MICRO * _G_PER_KG
    return grams, ""


def _ion(ion: str, value: float | None, reason: str, target: float | None) -> Prediction:
    return Prediction(f"ion_{ion}", Ion(ion).capitalize(), "mg/L", value, reason, target=target)


def salt_of(material: Material) -> Salt | None:
    """Return the salt that the material is set up as; else the one whose formula or full name it bears, exactly.

    Each of those names tells one hydrate alone; a material of which neither is said is no salt that is known.
    """
    if material.salt:
        return SALTS[material.salt]
    words = {material.name.casefold(), material.code.casefold()}
    return next((salt for salt in SALTS.values() if words & {salt.formula.casefold(), salt.name.casefold()}), None)
