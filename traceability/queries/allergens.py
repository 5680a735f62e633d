"""Allergens and claims of lots: what every material in their make-up carries, themselves included.

An allergen is an ingredient's where a way of ingredients alone leads to what carries it; what was only passed on with a
culture or with a residue is told as a trace. Both contradict a claim.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter

from brewery.science.allergens import (
    ALLERGENS,
    CLAIMS,
    Allergen,
    Claim,
    Traits,
    contradictions,
    named_in_eu,
    named_in_us,
)
from inventory.models import Link, Lot, Material
from traceability.queries.graph import Direction, Step, reached_now

GLUTEN_FREE = "gluten_free"
GRAIN = frozenset({Material.Kind.MALT, Material.Kind.ADJUNCT})
"""Most of these carry gluten or another allergen (common practice, no source): without any on record, one has more
likely not been looked at."""


@dataclass(frozen=True)
class Carried:
    """One allergen in a lot, and the lots in its make-up whose material carries it, the oldest first."""

    allergen: Allergen
    lots: tuple[Lot, ...]
    is_ingredient: bool
    is_exempt_in_eu: bool


@dataclass(frozen=True)
class Contradicted:
    """A lot in the make-up that contradicts a claim, and what of it does."""

    lot: Lot
    words: tuple[str, ...]


@dataclass(frozen=True)
class ClaimAnswer:
    """Whether a claim is made for the lot's material, and what in the make-up contradicts it.

    It is open where nothing contradicts it and of a grain in the make-up nothing is on record. `unknown` are the
    grains without which nobody can say that it is free of gluten: those of which neither an allergen nor that very
    claim is on record.
    """

    claim: Claim
    is_made: bool
    against: tuple[Contradicted, ...]
    is_open: bool
    unknown: tuple[Material, ...] = ()

    @property
    def because(self) -> str:
        """What contradicts it, in words; nothing where nothing does."""
        return "; ".join(
            f"lot {one.lot.code} ({one.lot.material.name}) carries {', '.join(one.words)}" for one in self.against
        )


@dataclass(frozen=True)
class Profile:
    """The allergens of one lot and what may be claimed of it, by what is recorded.

    `silent` are the malts and adjuncts in its make-up of which no allergen is on record, by name.
    """

    lot: Lot
    carried: tuple[Carried, ...]
    claims: tuple[ClaimAnswer, ...]
    silent: tuple[Material, ...]

    @property
    def named_in_eu(self) -> list[str]:
        """The groups that the European law wants named, exemptions left out."""
        return named_in_eu(one.allergen.code for one in self.carried if not one.is_exempt_in_eu)

    @property
    def named_in_us(self) -> list[str]:
        """The groups that the American law wants named."""
        return named_in_us(one.allergen.code for one in self.carried)


def profile_of(lot: Lot, steps: list[Step] | None = None) -> Profile:
    """Return the allergens and claims of one lot; `steps`, all links back from it, spare a question."""
    return profiles_of([lot], steps)[lot.pk]


def profiles_of(lots: Iterable[Lot], steps: list[Step] | None = None) -> dict[int, Profile]:
    """Return the allergens and claims of each lot, by id; they come with their materials. Two questions for all."""
    subjects = {lot.pk: lot for lot in lots}
    links = reached_now(list(subjects), Direction.BACK).steps if steps is None else steps
    steps = sorted(links, key=attrgetter("child"), reverse=True)
    reached = subjects.keys() | {step.parent for step in steps}
    telling = {lot.pk: lot for lot in _lots_that_tell(reached)}
    return {key: _profile(lot, steps, telling) for key, lot in subjects.items()}


def traits_of(material: Material, *, is_bought: bool) -> Traits:
    """Return what of a material counts; what is made here claims nothing by itself."""
    return Traits(
        frozenset(material.allergens),
        frozenset(material.allergens_exempt_in_eu),
        material.is_of_animal_origin,
        frozenset(material.claims if is_bought else ()),
    )


def _lots_that_tell(keys: Collection[int]) -> Iterable[Lot]:
    """Return the lots of which something is on record, and those of which nothing is and something should be."""
    rows = Lot.objects.select_related("material").in_bulk(list(keys)).values()
    return (lot for lot in rows if lot.material.allergens or lot.material.is_of_animal_origin or _is_silent(lot))


def _is_silent(lot: Lot) -> bool:
    return lot.material.kind in GRAIN and not lot.material.allergens


def _profile(subject: Lot, steps: list[Step], telling: Mapping[int, Lot]) -> Profile:
    by_ingredients, all_of_it = _makeup(subject.pk, steps)
    lots = [telling[key] for key in sorted(all_of_it & telling.keys())]
    carried = [_carried(code, lots, by_ingredients) for code in ALLERGENS]
    silent = {lot.material.name: lot.material for lot in lots if _is_silent(lot)}
    return Profile(
        subject,
        tuple(one for one in carried if one.lots),
        tuple(_claims(subject, lots, bool(silent))),
        tuple(silent[name] for name in sorted(silent)),
    )


def _makeup(subject: int, steps: list[Step]) -> tuple[set[int], set[int]]:
    """Return what is in the lot by ingredients alone, and all that is in it; the steps come youngest child first."""
    by_ingredients, all_of_it = {subject}, {subject}
    for step in steps:
        if step.child in all_of_it:
            all_of_it.add(step.parent)
        if step.child in by_ingredients and step.kind == Link.Kind.INGREDIENT:
            by_ingredients.add(step.parent)
    return by_ingredients, all_of_it


def _carried(code: str, lots: list[Lot], by_ingredients: set[int]) -> Carried:
    carriers = tuple(lot for lot in lots if code in lot.material.allergens)
    return Carried(
        ALLERGENS[code],
        carriers,
        any(lot.pk in by_ingredients for lot in carriers),
        all(code in lot.material.allergens_exempt_in_eu for lot in carriers),
    )


def _claims(subject: Lot, lots: list[Lot], something_is_silent: bool) -> Iterable[ClaimAnswer]:
    for claim in CLAIMS.values():
        against = [
            Contradicted(lot, tuple(words))
            for lot in lots
            if (words := contradictions(claim, traits_of(lot.material, is_bought=lot.supplier_id is not None)))
        ]
        is_made = claim.code in subject.material.claims
        unknown = tuple(_unknown(lots)) if claim.code == GLUTEN_FREE else ()
        yield ClaimAnswer(claim, is_made, tuple(against), something_is_silent and not against, unknown)


def _unknown(lots: list[Lot]) -> Iterable[Material]:
    found = {lot.material_id: lot.material for lot in lots if _is_silent(lot)}
    return (found[key] for key in sorted(found) if GLUTEN_FREE not in found[key].claims)
