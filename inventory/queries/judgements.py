"""Judgements: what the certificates of a lot say against what its material must keep to."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from brewery.science.extract import basis_doubt
from brewery.science.limits import Verdict, fault_in_words, judge
from brewery.science.properties import Property, with_unit, written
from brewery.science.units import MICRO
from inventory.models import CertificateValue, Lot, Material, Specification
from inventory.queries.certificates import properties_of, reading_of
from inventory.queries.specifications import in_force, limits_of


@dataclass(frozen=True)
class Finding:
    """One value against its limits; without a value, something that is asked for and not stated."""

    measured: Property
    value: CertificateValue | None
    specification: Specification | None
    verdict: Verdict

    @property
    def shown(self) -> str:
        """The value with its unit."""
        return with_unit(written(reading_of(self.value)), self.measured) if self.value else ""

    @property
    def limits(self) -> str:
        """What is asked, in words."""
        return limits_of(self.specification) if self.specification else ""

    @property
    def is_fault(self) -> bool:
        """Whether the lot cannot be released on it."""
        return self.verdict is not Verdict.KEPT

    @property
    def sentence(self) -> str:
        """What is wrong, without its stop."""
        reading = reading_of(self.value) if self.value else None
        return fault_in_words(self.measured, reading, self.verdict, self.limits)


@dataclass(frozen=True)
class Judgement:
    """All that the certificates of a lot that hold say, and what they do not."""

    findings: tuple[Finding, ...]
    asked: int

    @property
    def faults(self) -> list[Finding]:
        """The findings that stand against a release."""
        return [finding for finding in self.findings if finding.is_fault]

    def faults_of(self, certificate: int) -> list[Finding]:
        """Return the faults among the values of one certificate."""
        return [fault for fault in self.faults if fault.value and fault.value.certificate_id == certificate]


def judgements_of(lots: Iterable[Lot], day: date) -> dict[int, Judgement]:
    """Return the judgement of each lot, by id, by what is asked on that day; the lots come with their materials.

    Beer in tanks is judged by its readings and not here.
    """
    lots = list(lots)
    asked = in_force({lot.material_id for lot in lots if lot.material.kind != Material.Kind.BEER}, day)
    values: dict[int, list[CertificateValue]] = defaultdict(list)
    rows = CertificateValue.objects.filter(certificate__lot__in=lots, certificate__replaced_by=None)
    for value in rows.select_related("certificate").order_by("pk"):
        values[value.certificate.lot_id].append(value)
    return {lot.pk: _judge(lot, values[lot.pk], asked.get(lot.material_id, {})) for lot in lots}


def judgement_of(lot: Lot, day: date) -> Judgement:
    """Return the judgement of one lot."""
    return judgements_of([lot], day)[lot.pk]


def doubts_about(values: Iterable[CertificateValue]) -> list[str]:
    """Return why the values of one certificate cannot all be right; exact figures alone are compared."""
    exact = [value for value in values if value.value_micro is not None and not value.bound]
    figures = {value.property: (value.value_micro or 0) / MICRO for value in exact}
    needed = ("extract_fine_as_is", "extract_fine_dry", "moisture")
    doubt = basis_doubt(*(figures[name] for name in needed)) if figures.keys() >= set(needed) else ""
    return [doubt] if doubt else []


def _judge(lot: Lot, values: list[CertificateValue], asked: dict[str, Specification]) -> Judgement:
    return Judgement(tuple(_findings(lot, values, asked)), len(asked))


def _findings(lot: Lot, values: list[CertificateValue], asked: dict[str, Specification]) -> Iterator[Finding]:
    properties = properties_of(lot.material.kind)
    for value in values:
        measured, specification = properties[value.property], asked.get(value.property)
        verdict = Verdict.KEPT
        if specification:
            verdict = judge(measured, reading_of(value), specification.least_micro, specification.most_micro)
        yield Finding(measured, value, specification, verdict)
    stated = {value.property for value in values}
    for key, specification in asked.items():
        if key not in stated:
            yield Finding(properties[key], None, specification, Verdict.MISSING)
