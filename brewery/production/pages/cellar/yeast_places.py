"""Where yeast is put: a store, or an empty brink that is in service."""

from typing import Any

from django import forms

from inventory.models import Location
from inventory.queries.vessels import State, VesselState, in_service, states_at

UNCLEAN_HELP = "Only where the brink was not cleaned since its last use: what lay there is then in the trace."


class YeastPlaceField(forms.ChoiceField):
    """A store, or a brink that is empty and in service."""

    def offer(self) -> None:
        """The field offers the places that can take yeast now; each choice is the place's code."""
        brinks = list(in_service(Location.objects.filter(kind=Location.Kind.BRINK)).order_by("name"))
        states = states_at(brinks)
        free = [(one.code, _words(states[one.pk])) for one in brinks if states[one.pk].state != State.IN_USE]
        stores = Location.objects.filter(kind=Location.Kind.STORE).order_by("name")
        self.choices = [("", "choose a place"), *free, *((one.code, one.name) for one in stores)]

    def clean(self, value: Any) -> Location | None:
        """Return the place, full or empty: a form that is sent again finds what its first sending left."""
        text = self.to_python(value)
        kinds = (Location.Kind.STORE, Location.Kind.BRINK)
        rows = Location.objects.filter(kind__in=kinds)
        found = rows.filter(code=text).first() if text and "\x00" not in text else None
        if found is None and (text or self.required):
            raise forms.ValidationError("Choose a store or brink on the list.")
        return found


def _words(state: VesselState) -> str:
    unclean = f", not cleaned after {state.residue.code}" if state.residue else ""
    return f"{state.vessel.name}: empty{unclean}"
