"""What is told of stock that nears its end: dates, old malt, packs left open, and beer too old for those who buy it."""

from collections.abc import Iterator
from datetime import date, datetime

from django.urls import reverse

from brewery.kernel.access import Role
from brewery.kernel.clock import brewery_day
from brewery.science.bands import Band
from brewery.science.malt import CARAMEL_MALT_MONTHS, MILLED_MALT_MONTHS, ROASTED_MALT_MONTHS, WHOLE_MALT_MONTHS
from inventory.models import Alert, Lot, Material
from inventory.queries.freshness import (
    last_days_of,
    lots_near_their_end,
    open_days_of,
    open_packs,
    packaged_in_stock,
    undated_malts,
    wishes,
)
from inventory.services.alert_bells import Bell
from inventory.services.alerts import Cause, alerts_of
from inventory.services.checks import in_words

_BY_NAME = (
    (("milled", "crushed", "grist"), MILLED_MALT_MONTHS),
    (("caramel", "crystal"), CARAMEL_MALT_MONTHS),
    (("roasted", "chocolate", "black"), ROASTED_MALT_MONTHS),
)
_MONTH_DAYS = 30.4


@alerts_of("best_before", "Best before near or over", after=(Bell.DISPOSITION,))
def dates_that_end(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each lot on hand whose best-before day is over or near."""
    today = brewery_day(moment)
    for lot in lots_near_their_end(today):
        is_over = lot.best_before is not None and lot.best_before < today
        when = f"{'was' if is_over else 'is'} best before {_iso(lot.best_before)}"
        words = f"Lot {lot.code} of {lot.material.name} {when}: use it up, have it looked at, or destroy it."
        yield _cause(lot, words, Alert.Severity.WARNING if is_over else Alert.Severity.NOTICE)


@alerts_of("malt_old", "Malt grown old", after=(Bell.DISPOSITION,))
def old_malts(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each undated lot of malt that is older than such malt keeps, by what its name says it is."""
    for lot in undated_malts():
        months = _band_of(lot).most
        days = (moment - lot.made_at).days
        if days > months * _MONTH_DAYS:
            words = (
                f"Lot {lot.code} of {lot.material.name} has been here for {days} days, and such malt keeps for about "
                f"{months:g} months: look at its moisture and friability before it is mashed."
            )
            yield _cause(lot, words, Alert.Severity.NOTICE)


def _band_of(lot: Lot) -> Band:
    name = lot.material.name.casefold()
    return next((band for words, band in _BY_NAME if any(word in name for word in words)), WHOLE_MALT_MONTHS)


@alerts_of("pack_open", "Pack left open", after=(Bell.DISPOSITION,))
def packs_left_open(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each part of a lot of which a pack has been open for longer than it keeps so."""
    for one in open_packs():
        lot, place = one.balance.lot, one.balance.location
        days = (moment - one.since).days
        most = open_days_of(lot.material)
        if most is not None and days > most:
            rest = in_words(one.rest_micro, lot.material.base_unit)
            words = (
                f"A pack of lot {lot.code} of {lot.material.name} in {place.name} has been open for {days} days, with "
                f"{rest} in it: use it up first, or seal it."
            )
            yield Cause(
                f"lot {lot.pk} in {place.pk}",
                words,
                Role.BREWING,
                Alert.Severity.NOTICE,
                reverse("stock-lot", args=[lot.pk]),
                lot_id=lot.pk,
                location_id=place.pk,
                material_id=lot.material_id,
            )


@alerts_of("too_old_to_sell", "Too old for customers", after=(Bell.DISPOSITION,))
def beer_too_old(moment: datetime) -> Iterator[Cause]:
    """Yield a cause for each lot of packaged beer that no customer who asks for a life takes any more."""
    today = brewery_day(moment)
    lots = [lot for lot in packaged_in_stock() if lot.best_before and lot.best_before >= today]
    ends = last_days_of(lots, wishes())
    for lot in lots:
        told = ends.get(lot.pk)
        if told and told[0][1] < today:
            names = ", ".join(sorted(wish.party.name for wish, _ in told))
            words = (
                f"Lot {lot.code} of {lot.material.name}, best before {_iso(lot.best_before)}, keeps too short for "
                f"{names}: sell it to those who ask for none."
            )
            yield _cause(lot, words, Alert.Severity.WARNING)


def _iso(day: date | None) -> str:
    return day.isoformat() if day else ""


def _cause(lot: Lot, words: str, severity: Alert.Severity) -> Cause:
    is_beer = lot.material.kind == Material.Kind.PACKAGED
    return Cause(
        f"lot {lot.pk}",
        words,
        Role.QUALITY if is_beer else Role.BREWING,
        severity,
        reverse("stock-lot", args=[lot.pk]),
        lot_id=lot.pk,
        material_id=lot.material_id,
    )
