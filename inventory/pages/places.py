"""One place: what lies in it, and what it is."""

from typing import Any, ClassVar, cast

from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, now
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import moment_text, quantity
from brewery.science.units import BaseUnit
from inventory.models import Location
from inventory.queries.floor import held_in
from inventory.queries.warmths import changes_of, warmth_of

MILLI = 1000
MOST_CHANGES = 10
"""Loggers make hundreds; the page of its climate draws them."""


class PlacePage(Page):
    """One place inside the brewery, with what lies in it now and the pallets that stand there."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/place.html"

    @property
    def person_may_keep(self) -> bool:
        """Whether the person who looks may say how warm it is kept."""
        return cast(User, self.request.user).has_right(Right.KEEP_REGISTERS)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        place = place_or_404(kwargs["place"])
        return super().get_context_data(
            held=held_in(place, brewery_day()),
            facts=facts_of(place),
            label_url=reverse("place-label", args=[place.pk]) if place.kind in Location.ENTERED else None,
            may_keep=self.person_may_keep and place.kind in Location.ENTERED,
            **kwargs,
        )


def place_or_404(key: int) -> Location:
    """Return the place inside the brewery of that key. Raises Http404."""
    found = Location.objects.inside().filter(pk=key).prefetch_related("warmths").first()
    if found is None:
        raise Http404(f"There is no place {key}.")
    return found


def facts_of(place: Location) -> list[Fact]:
    """Return what is known of a place, label by label."""
    facts = [Fact("Code", place.code), Fact("Kind", place.get_kind_display())]
    if place.filling:
        facts.append(Fact("Filling", place.get_filling_display()))
    if place.capacity_micro is not None:
        facts.append(Fact("Holds", quantity(place.capacity_micro, place.capacity_unit)))
    if place.band_micro is not None:
        facts.append(Fact("Band between layers", quantity(place.band_micro, BaseUnit.KG)))
    if place.kind in Location.ENTERED:
        milli_c = warmth_of(place, now())
        facts.append(Fact("Kept at", "not known" if milli_c is None else f"{milli_c / MILLI:g} °C"))
    facts += [
        Fact(f"From {moment_text(since)}", "not known" if milli_c is None else f"{milli_c / MILLI:g} °C")
        for since, milli_c in changes_of(place)[-MOST_CHANGES:]
    ]
    return facts
