"""Certificates with all that an answer shows of them, and what may be stated of a material."""

from collections.abc import Mapping
from types import MappingProxyType

from django.db.models import Prefetch, QuerySet

from brewery.science.analyses import ANALYSES
from brewery.science.properties import Property, Reading
from inventory.models import Certificate, CertificateValue, Material

_KINDS = MappingProxyType(
    {
        Material.Kind.MALT: "malt",
        Material.Kind.ADJUNCT: "malt",
        Material.Kind.HOP: "hop",
        Material.Kind.YEAST: "yeast",
        Material.Kind.WATER: "water",
        Material.Kind.PACKAGING: "packaging",
        Material.Kind.BEER: "beer",
        Material.Kind.PACKAGED: "packaged",
    }
)


def properties_of(kind: str) -> Mapping[str, Property]:
    """Return what a certificate of a material of that kind may state, by key; nothing where none is kept."""
    return ANALYSES.get(_KINDS.get(Material.Kind(kind), ""), MappingProxyType({}))


def certificates() -> QuerySet[Certificate]:
    """Return all certificates, each with its lot, material, person and what replaced it."""
    return Certificate.objects.select_related("lot__material", "lot__supplier", "actor", "replaces", "replaced_by")


def certificates_in_full() -> QuerySet[Certificate]:
    """Return the certificates as above, each with its values and its files."""
    return certificates().prefetch_related(Prefetch("values", CertificateValue.objects.order_by("pk")), "attachments")


def reading_of(value: CertificateValue) -> Reading:
    """Return the value as science reads it."""
    return Reading(value.value_micro, value.bound, value.text)
