"""Duty: the European Union's least duty on beer, exact to whatever the figures are. A worksheet, not a filing.

Directive 92/83/EEC lets a member state tax hectolitre-degrees Plato or hectolitre-degrees of alcohol of the finished
product; Directive 92/84/EEC sets the least rates. What counts as Plato of the finished product is a matter of law
(Court of Justice, C-30/17): keep the basis and its version with the figure, and ask the authority.
"""

from decimal import ROUND_FLOOR, Decimal

from brewery.science.ranges import OutOfRange

EU_LEAST_PER_HL_PLATO = Decimal("0.748")
EU_LEAST_PER_HL_ALCOHOL_PCT = Decimal("1.87")
"""Euros, each the least for one hectolitre and one degree: ec.europa.eu, excise duty on alcohol."""


def duty_by_plato(volume_hl: Decimal, extract_plato: Decimal, rate: Decimal, *, ignores_fractions: bool) -> Decimal:
    """Return the duty on hectolitre-degrees Plato, unrounded, in the rate's currency. Raises OutOfRange.

    The directive allows fractions of a degree to be ignored: 11.9 counts as 11.
    """
    degrees = extract_plato.to_integral_value(ROUND_FLOOR) if ignores_fractions else extract_plato
    return _product(volume_hl=volume_hl, extract_plato=degrees, rate=rate)


def duty_by_strength(volume_hl: Decimal, alcohol_by_volume_pct: Decimal, rate: Decimal) -> Decimal:
    """Return the duty on hectolitre-degrees of alcohol, unrounded, in the rate's currency. Raises OutOfRange."""
    return _product(volume_hl=volume_hl, alcohol_by_volume_pct=alcohol_by_volume_pct, rate=rate)


def _product(**factors: Decimal) -> Decimal:
    total = Decimal(1)
    for field, value in factors.items():
        if not value.is_finite() or value < 0:
            raise OutOfRange(field, value, "It must be 0 or more. Look up the record that it comes from.")
        total *= value
    return total
