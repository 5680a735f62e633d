"""Undoing what was done with a yeast lot, while what was made of it is unused."""

from typing import Any, ClassVar

from django.contrib import messages
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import on_the_wall
from brewery.kernel.errors import NotFound
from brewery.kernel.pages.writing import WritingForm
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.telling import ToldPage, UndoForm
from brewery.production.pages.yeast.named import yeast_at
from inventory.models import Event, Lot, Posting
from inventory.queries.registers import event_of
from inventory.services.reversals import reverse_event


class YeastUndoPage(ToldPage):
    """Undoes one event of the lot, after it was told what goes back with it."""

    right: ClassVar[Right] = Right.REVERSE
    write_right: ClassVar[Right] = Right.REVERSE
    form_class = UndoForm
    template_name = "production/yeast/work.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form about the event that the address names."""
        asked = {} if data else {"event": self.request.GET.get("event", "")}
        return UndoForm(*data[:1], initial=asked, person=self.person)

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = yeast_at(self.kwargs["lot"])
        return super().get_context_data(
            **{"told": (), **kwargs},
            title=f"Yeast {lot.code}: undo",
            submit="Undo it",
            back_url=reverse("culture", args=[lot.pk]),
            back_words=f"Back to {lot.code}",
        )

    def told(self, form: Any) -> list[str]:
        """Tell all that the event moved: it goes back."""
        event = _event_with(yeast_at(self.kwargs["lot"]), form.cleaned_data["event"])
        rows = event.postings.select_related("lot__material", "from_location", "to_location")
        return [
            f"The {event.get_kind_display()} of {on_the_wall(event.happened_at)} did not happen then.",
            *map(_undone, rows),
        ]

    def write(self, form: Any) -> str:
        """Reverse it, and go on to the lot, or to all yeast where the lot itself is undone with it."""
        lot = yeast_at(self.kwargs["lot"])
        event = _event_with(lot, form.cleaned_data["event"])
        reverse_event(event=event, actor=self.person, **form.service_facts())
        messages.success(self.request, f"The {event.get_kind_display()} is undone.")
        return reverse("yeast") if lot.made_by_id == event.pk else reverse("culture", args=[lot.pk])


def _undone(row: Posting) -> str:
    """Return where it lies again, or no longer where it was made or found."""
    amount = f"{quantity(row.quantity_micro, row.lot.material.base_unit)} of lot {row.lot.code}"
    if row.from_location.is_inside:
        return f"{amount} lie in {row.from_location.name} again."
    return f"{amount} no longer lie in {row.to_location.name}."


def _event_with(lot: Lot, number: int) -> Event:
    """Return the event of that number, which moved something of the lot. Raises NotFound."""
    event = event_of(number)
    if event is None or not event.postings.filter(lot=lot).exists():
        raise NotFound(thing=f"event of lot {lot.code}", code=number)
    return event
