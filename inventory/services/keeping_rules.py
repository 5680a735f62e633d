"""How long hops and packaged beer keep: to 80 % of the alpha acids of the certificate, and as long as the date says."""

import math
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, time, timedelta

from django.conf import settings

from brewery.kernel.clock import brewery_zone, now
from brewery.science.freshness import staling_law
from brewery.science.hops import DAYS_TO_FIT, STORAGE_LAW
from inventory.models import Material
from inventory.queries.hop_alpha import last_pair
from inventory.queries.hop_facts import HopFacts, facts_of
from inventory.queries.paths import in_ms
from inventory.services.keepings import Course, KeepingRule, KeptLot, Yardstick, keep_rule

ALPHA, BEER_AGE = "alpha", "beer_age"
LEAST_PART = 0.8
"""Of the alpha acids of the first certificate: what a buyer of hops usually lets pass, common practice, no source."""


def alpha_courses(lots: Sequence[KeptLot]) -> Mapping[int, Course]:
    """Return of each hop lot with an assay how far it may go, in days at 20 °C in the open, from the last assay on."""
    moment = now()
    facts = facts_of((lot.pk, lot.made_at, lot.material, lot.material_name) for lot in lots)
    return {lot: _alpha_course(of_lot, moment) for lot, of_lot in facts.items() if of_lot.observations}


def _alpha_course(facts: HopFacts, moment: datetime) -> Course:
    known = facts.known_at(moment)
    first, base = known[0].alpha_pct, known[-1].alpha_pct
    packs = [(in_ms(since), pack.protection) for since, pack in facts.packs]
    if not first or base <= LEAST_PART * first:
        return Course(in_ms(known[-1].since), 0.0, packs)
    to_go = math.log(base / (LEAST_PART * first))
    given, _ = facts.rate_given()
    rate = facts.of_lot or given
    limit = math.nan if rate is None else _over(to_go, rate.per_day.value)
    return Course(in_ms(known[-1].since), limit, packs, None if facts.of_lot else _yardstick(facts, moment, to_go))


def _yardstick(facts: HopFacts, moment: datetime, to_go: float) -> Yardstick | None:
    """Return the limit as a multiple of what two assays lay apart, as `rate_by_assays` takes a lot's own rate."""
    pair = last_pair(facts.known_at(moment))
    if pair is None or not 0 < pair[1].alpha_pct <= pair[0].alpha_pct:
        return None
    earlier, later = pair
    times = _over(to_go, math.log(earlier.alpha_pct / later.alpha_pct))
    return Yardstick(in_ms(earlier.since), in_ms(later.since), times, DAYS_TO_FIT.least)


def _over(to_go: float, rate: float) -> float:
    return to_go / rate if rate else math.inf


def beer_courses(lots: Sequence[KeptLot]) -> Mapping[int, Course]:
    """Return of each lot that bears a date its life in days at 20 °C, if the date is meant for the usual store."""
    law = staling_law(settings.BEER_Q10)(settings.BEER_KEPT_AT_C)
    return {
        lot.pk: Course(in_ms(lot.made_at), law * max(0.0, _life_days(lot.made_at, lot.best_before)))
        for lot in lots
        if lot.best_before
    }


def _life_days(made_at: datetime, best_before: date) -> float:
    ends = datetime.combine(best_before + timedelta(days=1), time(), brewery_zone())
    return (ends - made_at).total_seconds() / 86_400


def _beer_law() -> Callable[[float], float]:
    return staling_law(settings.BEER_Q10)


keep_rule(KeepingRule(ALPHA, "80 % of its alpha acids left", (Material.Kind.HOP,), lambda: STORAGE_LAW, alpha_courses))
keep_rule(KeepingRule(BEER_AGE, "as old as its date allows", (Material.Kind.PACKAGED,), _beer_law, beer_courses))
