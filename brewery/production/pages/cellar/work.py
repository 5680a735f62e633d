"""One piece of work on a tank: a form, what is to be known before it is done, and one service that does it."""

from abc import abstractmethod
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.clock import brewery_day
from brewery.kernel.pages.writing import WritingForm
from brewery.production.pages.cellar.cautions import Caution
from brewery.production.pages.telling import ToldForm, ToldPage
from inventory.models import Location, Lot, Material
from inventory.queries.contents import lots_in
from inventory.services.lot_codes import LETTERS, free_codes

CODE_LENGTH = 20


@dataclass(frozen=True)
class Held:
    """The vessel that a page is about, and what it holds now: nothing, or one lot and how much."""

    vessel: Location
    lot: Lot | None
    quantity_micro: int


def held_in_vessel(code: str) -> Held:
    """Return the vessel of that code with what it holds; of a layered silo the lowest. Raises Http404."""
    kinds = (*Location.TANKS, Location.Kind.BRINK, Location.Kind.SILO)
    found = None if "\x00" in code else Location.objects.filter(kind__in=kinds, code=code).first()
    if found is None:
        raise Http404(f"There is no vessel {code}.")
    lot, held_micro = next(iter(lots_in(found)), (None, 0))
    return Held(found, lot, held_micro)


class WorkForm(ToldForm):
    """A form about a vessel, which is shown what it holds."""

    names: ClassVar[Mapping[str, str]] = {"vessel": ""}

    def __init__(self, *args: Any, held: Held, **options: Any) -> None:
        super().__init__(*args, **options)
        self.held = held


class WorkPage(ToldPage, is_a_kind_of_page=True):
    """A form of the cellar. What the person should know first is told, and the same form sent again does it."""

    template_name = "production/cellar/work.html"
    form_class: ClassVar[type[WorkForm]]
    title: ClassVar[str]
    submit: ClassVar[str]
    done: ClassVar[str]
    cautions: ClassVar[Sequence[Caution]] = ()
    needs_contents: ClassVar[bool] = True

    @property
    def held(self) -> Held:
        """The vessel that the address names, and what it holds."""
        return held_in_vessel(self.kwargs["code"])

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form, empty with its proposals or with what was sent."""
        held = self.held
        initial = {} if data else self.proposals(held)
        return self.form_class(*data[:1], initial=initial, held=held, person=self.person)

    def proposals(self, held: Held) -> dict[str, Any]:
        """Return what an empty form proposes; where there is something in the tank, a code of its new contents."""
        code = next(free_codes(held.lot.material.kind, brewery_day())) if held.lot and _has_letters(held.lot) else ""
        return {"contents_code": code}

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        held = self.held
        form = kwargs.get("form")
        is_ready = bool(held.lot) or not self.needs_contents or bool(form and form.is_bound)
        return super().get_context_data(
            **{"told": (), **kwargs, "held": held, "title": self.title, "submit": self.submit},
            cautions=self.cautions,
            is_ready=is_ready,
        )

    def write(self, form: Any) -> str:
        """Do it, say so, and go on to the tank."""
        held = form.held
        self.do(held, form, {"actor": self.person, **form.service_facts()})
        messages.success(self.request, f"{held.vessel.name}: {self.done}.")
        return reverse("cellar-tank", args=[held.vessel.code])

    @abstractmethod
    def do(self, held: Held, form: Any, facts: dict[str, Any]) -> None:
        """Call the service with what the form holds. Raises DomainError."""


def _has_letters(lot: Lot) -> bool:
    return lot.material.kind in LETTERS and lot.material.kind in (Material.Kind.WORT, Material.Kind.BEER)
