"""Common cause: what several bad lots share and good ones do not, with the ways on from each suspect."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar, cast
from urllib.parse import urlencode

from django import forms
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from inventory.models import Location, Lot
from inventory.pages.scanned import SCANNER
from traceability.pages.holds.asking import EVERY_KIND, KINDS, LotCodesField, following_all
from traceability.queries.asking import NAMES
from traceability.queries.suspects import Suspect, suspects

MOST_SHOWN = 12
CAUTION = (
    "A small probability is a hint where to look, never a proof: the record knows only what was entered, and whoever "
    "tries many suspects finds one that fits by chance. Look at the lot, tank or filler itself before you decide."
)


class ScannedLotsField(LotCodesField):
    """Lots, each on a line of its own as a scanner leaves them."""

    def __init__(self, **options: Any) -> None:
        super().__init__(widget=forms.Textarea(attrs={**SCANNER, "rows": 4}), **options)


class CommonCauseForm(forms.Form):
    """Which lots are bad, which are known to be good, and over which links to look."""

    bad = ScannedLotsField(label="Bad lots", help_text="Scan their labels, or type their codes: two or more.")
    good = ScannedLotsField(
        label="Good lots to compare with",
        required=False,
        help_text="Lots of the same time that are known to be without the fault; the more, the clearer the answer.",
    )
    follow = forms.MultipleChoiceField(
        label="Follow", required=False, choices=KINDS, widget=forms.CheckboxSelectMultiple
    )


@dataclass(frozen=True)
class ShownPlace:
    """One place, with what lay there and the way to ask what else it may have reached."""

    place: Location
    lots: Sequence[Lot]
    reached_url: str


@dataclass(frozen=True)
class ShownSuspect:
    """One suspect in words. `lots` with the address of each one's trace; the addresses hold or recall all of them."""

    suspect: Suspect
    heading: str
    chance: str
    lots: Sequence[tuple[Lot, str]]
    places: Sequence[ShownPlace]
    hold_url: str
    recall_url: str


class CommonCausePage(Page):
    """Bad lots and good ones in, suspects out. `?lots=` fills in the bad ones and asks nothing yet."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/common_cause.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        query = self.request.GET
        first = {"bad": "\n".join(query.get("lots", "").split()), "follow": EVERY_KIND}
        asking = CommonCauseForm(following_all(query)) if "bad" in query else CommonCauseForm(initial=first)
        found = found_by(asking)
        context: dict[str, Any] = {
            "asking": asking,
            "found": [shown(*one) for one in enumerate(found[:MOST_SHOWN], 1)] if found else found,
            "tried": tried_in_words(found) if found else "",
            "caution": CAUTION,
            "may_decide": cast(User, self.request.user).has_right(Right.DECIDE),
        }
        if found is not None:
            context["bad_urls"] = _ways_on(asking.cleaned_data["bad"])
        return super().get_context_data(**context, **kwargs)


def found_by(asking: CommonCauseForm) -> list[Suspect] | None:
    """Return the suspects; None where nothing was asked, or it cannot be asked so, which the form then says."""
    if not asking.is_bound or not asking.is_valid():
        return None
    asked = asking.cleaned_data
    try:
        return suspects(asked["bad"], asked["good"], [NAMES[name] for name in asked["follow"]])
    except DomainError as refused:
        asking.add_error(refused.field if refused.field in asking.fields else None, str(refused))
        return None


def shown(rank: int, suspect: Suspect) -> ShownSuspect:
    """Return the suspect of that rank with its words and addresses."""
    hold, recall = _ways_on(suspect.lots)
    return ShownSuspect(
        suspect,
        f"{rank}. {covered_in_words(suspect)}",
        chance_in_words(suspect),
        [(lot, f"{reverse('trace')}?{urlencode({'q': f'lot:{lot.code}'})}") for lot in suspect.lots],
        _places(suspect.lay_there),
        hold,
        recall,
    )


def _places(lay_there: Mapping[Location, Sequence[Lot]]) -> list[ShownPlace]:
    return [
        ShownPlace(place, lots, f"{reverse('contamination')}?{urlencode({'of': place.code, 'ingredient': 'on'})}")
        if place.kind in Location.VESSELS
        else ShownPlace(place, lots, "")
        for place, lots in lay_there.items()
    ]


def _ways_on(lots: Iterable[Lot]) -> tuple[str, str]:
    """Return where a hold on the lots is placed, and where a recall of them is opened."""
    named = urlencode({"lots": " ".join(lot.code for lot in lots)})
    return f"{reverse('new-hold')}?{named}", f"{reverse('new-recall')}?{named}"


def covered_in_words(suspect: Suspect) -> str:
    """Return in how many of the bad lots and of the good ones the suspect is."""
    told = suspect.coverage
    bad = f"In all {told.of_bad} bad lots" if told.bad == told.of_bad else f"In {told.bad} of {told.of_bad} bad lots"
    if not told.of_good:
        return bad
    return f"{bad}, in {told.good or 'none'} of {told.of_good} good ones"


def chance_in_words(suspect: Suspect) -> str:
    """Return what the exact test says, for somebody who never heard of it."""
    told = suspect.coverage
    if not told.of_good:
        return "No good lot was named to compare with, so nothing can be said of chance."
    if suspect.probability == 1:
        return "This tells nothing: by chance alone it would be in as many bad lots or more every time."
    times = float(1 / suspect.probability)
    return (
        "If it had nothing to do with the fault, it would by chance alone be in as many bad lots or more about once in "
        f"{f'{times:.1f}' if times < 10 else f'{times:,.0f}'} times (probability {_small(float(suspect.probability))})."
    )


def tried_in_words(found: Sequence[Suspect]) -> str:
    """Return how many suspects were tried, and how many as good as the best of them chance alone may bring."""
    likeliest = min(one.probability for one in found)
    tried = f"{len(found)} suspects that differ were compared" if len(found) > 1 else "One suspect was compared"
    if likeliest == 1:
        return f"{tried}."
    by_chance = float(len(found) * likeliest)
    return f"{tried}; of so many, chance alone would make up to {by_chance:.2g} look as good as the best."


def _small(value: float) -> str:
    return f"{value:.3f}" if value >= 0.001 else f"{value:.1g}"
