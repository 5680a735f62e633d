"""Holds on a lot and all that comes of it: kept above the stock, which says here what they must hear of.

A lot under such a hold is on hold or rejected for as long as the hold lasts, so all that is refused to a lot on hold is
refused to it; and whatever is made of it all the same comes under the hold in the transaction that makes it.
"""

from collections.abc import Callable, Collection, Mapping, Sequence

from brewery.kernel.errors import DomainError
from inventory.models import Event, Link, Lot
from inventory.models.dispositions import Disposition

HELD_BACK = (Disposition.ON_HOLD, Disposition.REJECTED)
"""What a lot under a hold may be."""


class LotUnderHold(DomainError):
    code = "lot_under_hold"
    title = "The lot is under a hold."
    template = "Lot {lot} is under {holds}, so it cannot be {disposition}."
    advice = "Release it from the hold, with a reason."


PassOn = Callable[[Event, Sequence[Link]], None]
"""Puts the children of lots under a hold under it too; is called once the links of an event are written."""
Names = Callable[[Collection[Lot]], Mapping[int, str]]
"""Returns, by lot, the names of the holds that it is under."""

_passing_on: list[PassOn] = []
_naming: list[Names] = []


def passed_on_by(function: PassOn) -> PassOn:
    """From now on holds are passed on by this function."""
    if function not in _passing_on:
        _passing_on.append(function)
    return function


def named_by(function: Names) -> Names:
    """From now on holds are named by this function."""
    if function not in _naming:
        _naming.append(function)
    return function


def pass_on(event: Event, links: Sequence[Link], parents: Mapping[int, Lot]) -> None:
    """What the event made of lots under a hold is under it too. Costs nothing where no parent is held back.

    The caller has locked the parents, and written the links.
    """
    if any(parents[link.parent_id].disposition in HELD_BACK for link in links):
        for function in _passing_on:
            function(event, links)


def kept_back(lots: Collection[Lot], disposition: str) -> list[LotUnderHold]:
    """Return a refusal for each lot that cannot become `disposition` because it is under a hold."""
    if disposition in HELD_BACK:
        return []
    lots = [lot for lot in lots if lot.disposition in HELD_BACK]
    names = {key: words for function in _naming for key, words in function(lots).items()} if lots else {}
    label = Disposition(disposition).label
    return [
        LotUnderHold(lot=lot.code, holds=names[lot.pk], disposition=label, field="lot")
        for lot in lots
        if lot.pk in names
    ]
