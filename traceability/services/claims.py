"""Claims: what contradicts them, found in all that a lot is made of."""

from collections.abc import Collection, Iterator, Sequence

from inventory.models import Lot
from inventory.services.claims import ClaimContradicted, ClaimNotKnown, found_by
from traceability.queries.allergens import ClaimAnswer, profiles_of


@found_by
def contradicted_in_makeup(lots: Sequence[Lot], claims: Collection[str] | None) -> Iterator[ClaimContradicted]:
    """Yield a refusal for each claim that something in the make-up contradicts, or that nobody can make of it."""
    for profile in profiles_of(lots).values():
        for answer in profile.claims:
            if not _is_asked(answer, claims):
                continue
            if answer.against:
                yield ClaimContradicted(
                    lot=profile.lot.code,
                    claim=answer.claim.label,
                    because=answer.because,
                    material=profile.lot.material.code,
                    field="lot",
                )
            elif answer.unknown:
                names = ", ".join(material.name for material in answer.unknown)
                yield ClaimNotKnown(lot=profile.lot.code, claim=answer.claim.label, materials=names, field="lot")


def _is_asked(answer: ClaimAnswer, claims: Collection[str] | None) -> bool:
    return answer.is_made if claims is None else answer.claim.code in claims
