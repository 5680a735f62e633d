"""Freshness: how old packaged beer is by its warmth, as days at 20 °C, by the integrator that hops have too.

Days are multiplied by Q10^((T - 20)/10). For ageing tests 2 to 3 are advised (Bamforth and Lentini 2009, as on
milkthefunk.com); a brewery's trial gave 2.11 and 1.97 (MBAA 2012 proceedings, 260). The rule of 3, 30 and 300 days is
no such law: it takes 3.4 in the cold and 10 in the warm.
"""

from collections.abc import Iterable

from brewery.science.ranges import DAYS, OutOfRange, Range
from brewery.science.storage import Stay, TemperatureLaw, exposure

USUAL_Q10 = 2.5
ADVISED_Q10 = Range(1.5, 4, "", "Published for beer are 2 to 3.")
TEMPERATURE_F = Range(-60, 250, "°F", "Look up the thermometer.")
SOME_DAYS = Range(0, 100_000, "d", "Look up the trial.", above_least=True)


def staling_law(q10: float = USUAL_Q10) -> TemperatureLaw:
    """Return the law by which beer ages, with the brewery's own Q10. Raises OutOfRange."""
    ADVISED_Q10.check("q10", q10)
    return TemperatureLaw(times=q10, every_k=10)


def age_at_20_days(stays: Iterable[Stay], q10: float = USUAL_Q10) -> float:
    """Return the days at 20 °C that beer has aged by. Raises OutOfRange."""
    return exposure(stays, staling_law(q10))


def days_left(life_days: float, stays: Iterable[Stay], store_c: float, q10: float = USUAL_Q10) -> float:
    """Return the days that beer keeps on in a store of one temperature, of a life given in days at 20 °C.

    0 where it is over. Raises OutOfRange.
    """
    DAYS.check("life_days", life_days)
    return max(0.0, life_days - age_at_20_days(stays, q10)) / staling_law(q10)(store_c)


def q10_of(warm_days: float, warm_c: float, cold_days: float, cold_c: float) -> float:
    """Return the Q10 by which so many days warm age beer as so many cold ones do. Raises OutOfRange."""
    SOME_DAYS.check("warm_days", warm_days)
    SOME_DAYS.check("cold_days", cold_days)
    if warm_c <= cold_c:
        raise OutOfRange("warm_c", warm_c, f"It must be warmer than {cold_c:g} °C.")
    return float((cold_days / warm_days) ** (10 / (warm_c - cold_c)))


def celsius(fahrenheit: float) -> float:
    """Return degrees Celsius of degrees Fahrenheit. Raises OutOfRange."""
    TEMPERATURE_F.check("fahrenheit", fahrenheit)
    return (fahrenheit - 32) / 1.8
