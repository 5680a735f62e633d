"""Codes and best-before days that the brewery's rule gives."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import islice

from django.db.models import F, Q

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.production.models import PackagingRule
from brewery.science.lot_patterns import Filled, Span, check_pattern, keeps_until, written_code
from inventory.models import Lot, Material
from inventory.services.lot_codes import free_codes

MOST_TRIED = 10_000


def rule_for(material: Material, day: date) -> PackagingRule | None:
    """Return the newest rule in force on that day: one of the material's own, or else one for all."""
    rows = PackagingRule.objects.filter(Q(material=material) | Q(material=None), in_force_from__lte=day)
    return rows.order_by(F("material").desc(nulls_last=True), "-in_force_from", "-pk").first()


def codes_for(material: Material, filled: Filled) -> Iterator[str]:
    """Yield codes that no lot bears now, one after the other: by the rule, or without one as every lot is coded."""
    day = brewery_day(filled.at)
    rule = rule_for(material, day)
    if rule is None:
        yield from free_codes(material.kind, day)
        return
    yield from codes_by(rule.pattern, filled, has_l_prefix=rule.has_l_prefix)


def codes_by(pattern: str, filled: Filled, *, has_l_prefix: bool) -> Iterator[str]:
    """Yield the codes of a pattern that no lot bears now."""
    stands = Filled(filled.at.astimezone(brewery_zone()), filled.line, filled.tank)
    prefix = "L" if has_l_prefix else ""
    for numbers in _hundreds():
        codes = [prefix + written_code(pattern, stands, number) for number in numbers]
        taken = set(Lot.objects.filter(code__in=codes).values_list("code", flat=True))
        yield from (code for code in codes if code not in taken)


def next_codes(material: Material, filled: Filled, how_many: int = 3) -> list[str]:
    """Return the next codes, for a form that only shows them: another may be quicker."""
    return list(islice(codes_for(material, filled), how_many))


def best_before_for(material: Material, moment: datetime) -> date | None:
    """Return the day by the rule; nothing where no rule says it."""
    day = brewery_day(moment)
    rule = rule_for(material, day)
    if rule is None or rule.life is None:
        return None
    return keeps_until(day, rule.life, Span(rule.life_in), to_months_end=rule.to_months_end)


@dataclass(frozen=True)
class Preview:
    """What a rule would give that is not set yet: the next codes and the best-before day."""

    codes: list[str]
    best_before: date | None


def preview(
    pattern: str,
    moment: datetime,
    *,
    has_l_prefix: bool = False,
    life: int | None = None,
    life_in: str = Span.DAYS,
    to_months_end: bool = False,
    line: str = "1",
    how_many: int = 3,
) -> Preview:
    """Return what lots filled at that moment would be called, and until when they would keep.

    Raises OutOfRange for a pattern that gives no code of 20 printed characters at most.
    """
    check_pattern(f"L{pattern}" if has_l_prefix and pattern else pattern)
    codes = codes_by(pattern, Filled(moment, line), has_l_prefix=has_l_prefix)
    keeps = keeps_until(brewery_day(moment), life, Span(life_in), to_months_end=to_months_end) if life else None
    return Preview(list(islice(codes, how_many)), keeps)


def _hundreds() -> Iterator[range]:
    return (range(first, first + 100) for first in range(1, MOST_TRIED, 100))
