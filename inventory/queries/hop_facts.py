"""What is on record of how a hop lot keeps: its assays, its pack, and rates that somebody gave."""

import math
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time
from functools import cache
from typing import Any

from brewery.kernel.clock import brewery_day, brewery_zone
from brewery.kernel.database.sets import portions
from brewery.science.cultivars import CULTIVARS, SIX_MONTHS_DAYS, Cultivar
from brewery.science.estimates import Estimate
from brewery.science.hop_index import alpha_by_index
from brewery.science.hops import HopForm, Pack, default_rate
from brewery.science.ranges import OutOfRange
from brewery.science.storage import rate_from_loss
from brewery.science.units import MICRO
from inventory.models import CertificateValue, HopRate, Lot, PackChange

ALWAYS = datetime(1970, 1, 1, tzinfo=UTC)
"""Before anything that is on record."""

_STATED = ("alpha", "hsi", "form", "pack")
_COLUMNS = (
    "certificate__lot",
    "property",
    "value_micro",
    "text",
    "method",
    "certificate",
    "certificate__number",
    "certificate__issued_on",
)


@dataclass(frozen=True, slots=True)
class Observation:
    """The alpha acids of a lot in % as an assay found them, or as they follow from its storage index.

    They hold from `since` on: the start of the day of the certificate, or when the lot was made.
    """

    alpha_pct: float
    on: date
    since: datetime
    number: str
    method: str
    index: float | None
    is_measured: bool

    @property
    def source(self) -> str:
        """By what it is known."""
        paper = f"certificate {self.number}" if self.number else "its certificate"
        return paper if self.is_measured else f"the storage index of {paper}"


@dataclass(frozen=True, slots=True)
class Rate:
    """How quickly alpha acids go, per day at 20 °C in the open, and who says so."""

    per_day: Estimate
    source: str


@dataclass(slots=True)
class HopFacts:
    """One lot: its observations in order of time, its form, its pack from when on, and rates that were given."""

    name: str
    observations: list[Observation] = field(default_factory=list)
    form: HopForm = HopForm.CONES
    packs: list[tuple[datetime, Pack]] = field(default_factory=lambda: [(ALWAYS, Pack.OPEN)])
    of_lot: Rate | None = None
    of_material: Rate | None = None

    def known_at(self, moment: datetime) -> Sequence[Observation]:
        """Return the observations up to a moment; where all come later, the first of them."""
        return [one for one in self.observations if one.since <= moment] or self.observations[:1]

    def rate_given(self) -> tuple[Rate | None, str]:
        """Return the rate to take where the lot has none of its own, or None and why there is none."""
        if self.of_material:
            return self.of_material, ""
        cultivar = cultivar_of(self.name)
        if cultivar is None:
            return None, f"how {self.name} keeps is not known, so the certificate stands"
        try:
            return published_rate(cultivar, self.form), ""
        except OutOfRange as refused:
            return None, f"the certificate stands: {refused.problem}"


HopLot = tuple[int, datetime, int, str]
"""The key of a lot, when it was made, and the key and name of its material."""


def hop_lot(lot: Lot) -> HopLot:
    """Return what `facts_of` must know of a lot."""
    return lot.pk, lot.made_at, lot.material_id, lot.material.name


def facts_of(lots: Iterable[HopLot]) -> Mapping[int, HopFacts]:
    """Return by lot what is on record of it. Three statements for each few hundred lots."""
    facts: dict[int, HopFacts] = {}
    for some in portions(lots):
        found = {lot: HopFacts(name) for lot, _, _, name in some}
        _read_certificates(found, {lot: made_at for lot, made_at, _, _ in some})
        _read_packs(found)
        _read_rates(found, {lot: material for lot, _, material, _ in some})
        facts |= found
    return facts


@cache
def cultivar_of(name: str) -> Cultivar | None:
    """Return the cultivar that a material is named after, or None; the longest name that stands in it counts."""
    words = f" {name.casefold()} "
    found = [one for one in CULTIVARS.values() if f" {one.name.casefold()} " in words.replace(",", " ")]
    return max(found, key=lambda one: len(one.name), default=None)


@cache
def published_rate(cultivar: Cultivar, form: HopForm) -> Rate:
    """Return the published rate of a cultivar in that form. Raises OutOfRange where nothing is published."""
    return Rate(default_rate(cultivar, form), f"published of {cultivar.name}: {cultivar.kept[0].source}")


def _read_certificates(facts: Mapping[int, HopFacts], made: Mapping[int, datetime]) -> None:
    rows = CertificateValue.objects.filter(
        certificate__lot__in=facts, certificate__replaced_by=None, property__in=_STATED, bound=""
    ).order_by("certificate__recorded_at", "pk")
    papers: dict[int, dict[int, dict[str, tuple[Any, ...]]]] = defaultdict(lambda: defaultdict(dict))
    for row in rows.values_list(*_COLUMNS):
        lot, name, certificate = row[0], row[1], row[5]
        papers[lot][certificate][name] = row
        if name == "form":
            facts[lot].form = HopForm(row[3])
        elif name == "pack":
            facts[lot].packs = [(ALWAYS, Pack(row[3]))]
    for lot, of_lot in papers.items():
        facts[lot].observations = _observed(of_lot.values(), made[lot], facts[lot].form)


def _observed(papers: Collection[Mapping[str, tuple[Any, ...]]], made_at: datetime, form: HopForm) -> list[Observation]:
    """Return the observations in order of their days; of two for one day the one entered last."""
    by_day: dict[date, Observation] = {}
    for paper in papers:
        stated = paper.get("alpha") or paper.get("hsi")
        if stated:
            on = stated[7] or brewery_day(made_at)
            index = paper["hsi"][2] / MICRO if "hsi" in paper else None
            measured = (paper["alpha"][2] or 0) / MICRO if "alpha" in paper else math.nan
            since = max(datetime.combine(on, time(), brewery_zone()), made_at)
            if "alpha" in paper or on not in by_day or not by_day[on].is_measured:
                by_day[on] = Observation(measured, on, since, stated[6], stated[4], index, "alpha" in paper)
    return _reckoned([by_day[on] for on in sorted(by_day)], form)


def _reckoned(found: Sequence[Observation], form: HopForm) -> list[Observation]:
    """Give what states an index alone the alpha that follows from an earlier paper with both; leave out the others."""
    kept: list[Observation] = []
    both: Observation | None = None
    for one in found:
        if one.is_measured:
            kept.append(one)
            both = one if one.index else both
        elif both and both.alpha_pct and form.has_storage_index:
            kept.append(replace(one, alpha_pct=alpha_by_index(both.alpha_pct, both.index or 0, one.index or 0)))
    return kept


def _read_packs(facts: Mapping[int, HopFacts]) -> None:
    rows = PackChange.objects.filter(lot__in=facts).order_by("since", "pk")
    for lot, since, pack in rows.values_list("lot", "since", "pack"):
        facts[lot].packs = [*(told for told in facts[lot].packs if told[0] < since), (since, Pack(pack))]


def _read_rates(facts: Mapping[int, HopFacts], materials: Mapping[int, int]) -> None:
    of_lots, of_materials = rates_given(facts, set(materials.values()))
    for lot, one in facts.items():
        one.of_lot, one.of_material = of_lots.get(lot), of_materials.get(materials[lot])


def rates_given(
    lots: Iterable[int], materials: Iterable[int]
) -> tuple[Mapping[int, Rate | None], Mapping[int, Rate | None]]:
    """Return the rates that somebody gave, by lot and by material; None where it was taken back."""
    of_lots: dict[int, Rate | None] = {}
    of_materials: dict[int, Rate | None] = {}
    rows = HopRate.objects.filter(lot__in=lots) | HopRate.objects.filter(material__in=materials)
    for lot, material, loss, source in rows.order_by("pk").values_list("lot", "material", "loss_micro_pct", "source"):
        if lot:
            of_lots[lot] = _given(loss, f"given for the lot: {source}")
        else:
            of_materials[material] = _given(loss, f"given for the material: {source}")
    return of_lots, of_materials


def _given(loss_micro_pct: int | None, source: str) -> Rate | None:
    if loss_micro_pct is None:
        return None
    return Rate(Estimate.exact(rate_from_loss(loss_micro_pct / MICRO, SIX_MONTHS_DAYS)), source)
