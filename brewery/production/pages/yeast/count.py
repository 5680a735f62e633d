"""A count of yeast, or its correction: what is alive, how many cells, what does not belong in it, and how much."""

from collections.abc import Mapping
from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.writing import WritingForm
from brewery.kernel.templatetags.shell import quantity
from brewery.production.pages.cellar.fields import amount_field, part_typed, stock_field
from brewery.production.pages.telling import ToldForm, ToldPage
from brewery.production.pages.yeast.named import yeast_at
from brewery.production.services.yeast_counts import COUNTED, count_yeast
from brewery.science.analyses import ANALYSES
from brewery.science.properties import written
from brewery.science.yeast import WILD_YEAST_TOO_MANY_PER_MILLION
from inventory.models import Balance, Certificate, Lot, Material
from inventory.pages.certificates.values import ReadingField
from inventory.queries.certificates import certificates_in_full, reading_of
from inventory.services.stock import Part


class CountForm(ToldForm):
    """What was counted of the lot; what is left empty was not counted."""

    names: ClassVar[Mapping[str, str]] = {"counted": "amount", "location": "place", "replaces": "", "lot": ""}

    def __init__(self, lot: Lot, replaces: Certificate | None, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.lot, self.replaces = lot, replaces
        self.fields.pop("override_reason", None)
        self.fields |= {key: ReadingField(ANALYSES["yeast"][key], _HELP.get(key, "")) for key in COUNTED}
        if replaces:
            self.initial.update((one.property, written(reading_of(one))) for one in replaces.values.all())
        else:
            self._ask_how_much()
        self.order_fields((*COUNTED, "place", "amount", "happened_at"))

    def _ask_how_much(self) -> None:
        place = stock_field(Material.Kind.YEAST, label="Measured where", required=False)
        held = [row for row in place.rows().filter(lot=self.lot) if row.quantity_micro]
        place.offer_words(
            ((row, f"{row.location.name}: {_amount(row)} by the book") for row in held), empty="choose a place"
        )
        self.fields["place"] = place
        self.fields["amount"] = amount_field("How much there is", required=False)
        self.fields["amount"].help_text = f"In {self.lot.material.base_unit}. The book is put right by it."

    def clean(self) -> dict[str, Any]:
        """Return what was typed with the `counts`, and with the `part` that was measured."""
        read = super().clean()
        read["counts"] = {key: read[key] for key in COUNTED if read.get(key)}
        read["part"] = None if self.replaces else part_typed(self, "place", "amount")
        if not read["counts"] and not self.errors:
            self.add_error(None, "Write at least one count; how much there is alone is a gauge or a count of stock.")
        return read


class CountPage(ToldPage):
    """Writes a count of the lot down; with `?corrects=` in the address it corrects one."""

    right: ClassVar[Right] = Right.COUNT_YEAST
    write_right: ClassVar[Right] = Right.COUNT_YEAST
    form_class = CountForm
    template_name = "production/yeast/work.html"

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a correction starts from what it corrects, and nothing else is proposed."""
        return CountForm(yeast_at(self.kwargs["lot"]), self._replaced(), *data[:1], person=self.person)

    def _replaced(self) -> Certificate | None:
        asked = self.request.GET.get("corrects", "")
        if not asked:
            return None
        key = int(asked) if asked.isdecimal() and len(asked) < len(str(2**63)) else 0
        found = certificates_in_full().filter(pk=key, lot=self.kwargs["lot"]).first()
        if found is None:
            raise Http404(f"There is no count {asked} of this lot.")
        return found

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot, corrects = yeast_at(self.kwargs["lot"]), "corrects" in self.request.GET
        return super().get_context_data(
            **{"told": (), **kwargs},
            title=f"Yeast {lot.code}: {'correct a count' if corrects else 'count'}",
            submit="Correct it" if corrects else "Write it down",
            preface="What was counted before stays on record." if corrects else "",
            back_url=reverse("culture", args=[lot.pk]),
            back_words=f"Back to {lot.code}",
        )

    def told(self, form: Any) -> list[str]:
        """Tell what the book is put right by, and that yeast with what does not belong in it is discarded."""
        asked = form.cleaned_data
        return [*_difference(asked["part"]), *_find(asked["counts"])]

    def write(self, form: Any) -> str:
        """Write it down, and go on to the lot."""
        asked = form.cleaned_data
        count_yeast(
            lot=form.lot,
            counts=asked["counts"],
            measured=asked["part"],
            replaces=form.replaces,
            actor=self.person,
            **form.service_facts(),
        )
        messages.success(self.request, f"The count of lot {form.lot.code} is on record.")
        return reverse("culture", args=[form.lot.pk])


_HELP = {
    "viability": "Methylene blue flatters weak yeast: below about 85 % use another stain as well (common practice).",
    "cell_count": "Of the slurry as it lies there, dead cells too.",
    "wild_yeast": f"From {WILD_YEAST_TOO_MANY_PER_MILLION} on yeast is discarded (Richards 1968).",
    "bacteria": "0 where none were found.",
}


def _amount(row: Balance) -> str:
    return quantity(row.quantity_micro, row.lot.material.base_unit)


def _difference(part: Part | None) -> list[str]:
    if part is None:
        return []
    unit = part.lot.material.base_unit
    row = Balance.objects.filter(lot=part.lot, location=part.location).first()
    booked = row.quantity_micro if row else 0
    if part.quantity_micro == booked:
        return []
    book, found = quantity(booked, unit), quantity(part.quantity_micro, unit)
    difference = quantity(part.quantity_micro - booked, unit)
    return [f"The book says {book} in {part.location.name}, and you {found}: {difference} go to count differences."]


def _find(counts: Mapping[str, str]) -> list[str]:
    found = [key for key in ("wild_yeast", "bacteria") if counts.get(key, "0").strip("<> 0.")]
    labels = " and ".join(ANALYSES["yeast"][key].label.lower() for key in found)
    return [f"It says {labels}: have it looked at before this yeast is pitched."] if found else []
