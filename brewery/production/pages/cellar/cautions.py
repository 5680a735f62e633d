"""Cautions of the cellar. They name the danger and defer to the site's own rules; they replace none."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Caution:
    """One caution, as `shell/caution.html` shows it."""

    title: str
    text: str


_SITE = "Your site's rules and the local codes have the last word."

GAS = Caution(
    "Carbon dioxide and pressure",
    f"Fermenting beer gives off carbon dioxide, which kills in a low or closed room. Look at the gas alarm and let the "
    f"pressure off before you open anything. {_SITE}",
)
FOAM = Caution(
    "Foam and pressure",
    f"Hops and powders put to beer with gas in it can make it foam out of the tank. Let the pressure off first and add "
    f"slowly. {_SITE}",
)
CAUSTIC = Caution(
    "Caustic, acid and vacuum",
    f"Wear goggles and gloves. Never mix acid with chlorine. Caustic takes up carbon dioxide: an unvented tank can "
    f"collapse. {_SITE}",
)
CONFINED = Caution(
    "Nobody enters a tank alone",
    f"A tank is a confined space, and may hold carbon dioxide long after it is empty. Entry is only by permit. {_SITE}",
)
ALLERGENS = Caution(
    "Allergens",
    "What is added becomes part of the beer. What is told here is by the record of the materials alone; read the label "
    f"of what you add, and have the beer's own label looked at where something is new. {_SITE}",
)
DUTY = Caution(
    "Duty",
    f"What is destroyed may count for duty, and may need a witness or notice beforehand. {_SITE}",
)
