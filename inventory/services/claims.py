"""Claims: what may be said of a lot, which what it is made of must not contradict.

What a lot is made of is known above the stock; whoever knows it says here how to find out.
"""

from collections.abc import Callable, Collection, Iterator, Sequence

from brewery.kernel.errors import DomainError, SeveralFaults
from inventory.models import Lot


class ClaimContradicted(DomainError):
    code = "claim_contradicted"
    title = "What it is made of contradicts a claim."
    template = "Lot {lot} cannot be called {claim}: {because}."
    advice = "Take the claim off material {material}, or hold the lot back."


class ClaimNotKnown(ClaimContradicted):
    code = "claim_not_known"
    title = "Nobody knows whether the claim holds."
    template = "Lot {lot} cannot be called {claim}: what {materials} carries was never recorded."
    advice = "Record its allergens; where it has none, claim of the grain itself what its supplier says in writing."


class ClaimsContradicted(SeveralFaults):
    code = "claims_contradicted"
    title = "What it is made of contradicts what is claimed."
    template = "What some lots are made of contradicts what is claimed of them ({count})."


Finder = Callable[[Sequence[Lot], Collection[str] | None], Iterator[ClaimContradicted]]
"""Yields the contradictions of the lots to these claims, or to those of each one's own material."""

_finders: list[Finder] = []


def found_by(finder: Finder) -> Finder:
    """From now on contradictions are found by this function."""
    if finder not in _finders:
        _finders.append(finder)
    return finder


def contradictions_of(lots: Collection[Lot], claims: Collection[str] | None = None) -> list[ClaimContradicted]:
    """Return what contradicts the claims, lot by lot; without `claims`, those of each lot's own material."""
    asked = [lot for lot in lots if claims or lot.material.claims]
    return [fault for finder in _finders for fault in finder(asked, claims)] if asked else []


def refuse_contradicted(lots: Collection[Lot], *, override_reason: str = "") -> None:
    """Raise ClaimsContradicted where what a lot is made of contradicts a claim, or nobody knows whether it does.

    With `override_reason`, which the caller keeps and for which the caller asks the right, what is not known passes;
    what is known to contradict never does.
    """
    found = contradictions_of(lots)
    faults = [fault for fault in found if not (override_reason and isinstance(fault, ClaimNotKnown))]
    if faults:
        raise ClaimsContradicted(faults)
