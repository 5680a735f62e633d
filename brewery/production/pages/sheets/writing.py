"""The pages that write a brew sheet: a new draft, and a draft that changes."""

import re
from abc import abstractmethod
from typing import Any, ClassVar

from django.forms import BaseFormSet
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.writing import FormPage, WritingForm, go_on
from brewery.production.models import BrewSheet, SheetIon
from brewery.production.pages.sheets.fields import offered
from brewery.production.pages.sheets.forms import ALPHA, LINES, MOST_LINES, WEIGHT, ChangeSheetForm, NewSheetForm
from brewery.production.pages.sheets.named import sheet_or_404
from brewery.production.queries.sheet_contents import HopLine, IonTarget, SaltLine, SheetContent, content_of
from brewery.production.queries.sheet_words import words_of
from brewery.production.services.sheets import change_sheet, write_sheet

_OF_A_LINE = re.compile(r"(?P<list>\w+)\[(?P<index>\d+)\](?:\.(?P<field>\w+))?")
_HEAD = {
    "cold_wort": "cold_wort_micro",
    "original_gravity_p": "original_gravity_milli_p",
    "final_gravity_p": "final_gravity_milli_p",
    "bitterness_bu": "bitterness_milli_bu",
    "colour_ebc": "colour_milli_ebc",
    "yield_pct": "yield_ppm",
    "boil_minutes": "boil_minutes",
    "evaporation_pct": "evaporation_ppm",
    "liquor": "liquor",
    "mash_liquor": "mash_liquor_micro",
    "sparge_liquor": "sparge_liquor_micro",
    "yeast": "yeast",
    "pitch_cells": "pitch_cells",
    "kraeusen_pct": "kraeusen_ppm",
    "is_filtered": "is_filtered",
    "note": "note",
}
"""What the form calls what a sheet says once."""

_NONE_IS_NOTHING = ("evaporation_ppm", "kraeusen_ppm")

Lists = dict[str, "BaseFormSet[Any]"]


class SheetFormPage(FormPage, is_a_kind_of_page=True):
    """A page around the form of a whole sheet."""

    right: ClassVar[Right] = Right.BREW
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/sheets/form.html"
    lists: "Lists"
    """The lines of the lists, as they were sent."""

    def written(self) -> SheetContent | None:
        """Return what the form shows at first."""
        return None

    @abstractmethod
    def save(self, form: Any, content: SheetContent) -> BrewSheet:
        """Call the service. Raises DomainError."""

    def write(self, form: Any) -> str:
        """Keep the sheet, and go on to it. Raises DomainError."""
        sheet = self.save(form, content_typed(form, self.lists))
        return reverse("brew-sheet", args=[sheet.pk])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lists: Lists = kwargs.pop("lists", None) or lists_of(self.written())
        sections = [{"name": name, "title": LINES[name][0], "lines": lines} for name, lines in lists.items()]
        ions = [ion.value for ion in SheetIon.Ion]
        return super().get_context_data(sections=sections, ions=ions, offers=offered(), **kwargs)

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Write the sheet; or show the form again, with more lines or with what is wrong."""
        if request.POST.get("more") in LINES:
            form = self.form_class(initial=head_as_typed(request))
            return self.render_to_response(self.get_context_data(form=form, lists=lists_with_more(request)))
        form, self.lists = self.new_form(request.POST), lists_sent(request)
        valid = [form.is_valid(), *(lines.is_valid() for lines in self.lists.values())]
        if all(valid):
            try:
                return go_on(self.write(form))
            except DomainError as refused:
                refuse(refused, form, self.lists)
        return self.render_to_response(self.get_context_data(form=form, lists=self.lists), status=400)


class NewSheetPage(SheetFormPage):
    """The form that writes a draft of a beer's next version."""

    form_class = NewSheetForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; the address may name the beer."""
        return NewSheetForm(*data) if data else NewSheetForm(initial={"beer": self.request.GET.get("beer", "")})

    def save(self, form: Any, content: SheetContent) -> BrewSheet:
        """Write the draft."""
        read = form.cleaned_data
        return write_sheet(beer=read["beer"], content=content, actor=self.person, request_id=read["request_id"])


class ChangeSheetPage(SheetFormPage):
    """The form that changes a draft."""

    form_class = ChangeSheetForm

    @property
    def sheet(self) -> BrewSheet:
        """The sheet that the address names. Raises Http404."""
        return sheet_or_404(self.kwargs["sheet"])

    def written(self) -> SheetContent:
        """Return what the draft says."""
        return content_of(self.sheet)

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; a new one says what the draft says."""
        sheet = self.sheet
        return ChangeSheetForm(*data) if data else ChangeSheetForm(initial=head_of(sheet, content_of(sheet)))

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(**{**kwargs, "sheet": self.sheet})

    def save(self, form: Any, content: SheetContent) -> BrewSheet:
        """Change the draft."""
        read = form.cleaned_data
        return change_sheet(
            sheet=self.sheet,
            revision=read["revision"],
            changes=dict(vars(content)),
            actor=self.person,
            request_id=read["request_id"],
        )


def head_of(sheet: BrewSheet, content: SheetContent) -> dict[str, Any]:
    """Return what the head of the form shows of a sheet."""
    ions = {target.ion: target.milli_mg_per_l for target in content.ions}
    shown = {field: getattr(content, name) for field, name in _HEAD.items()}
    return {**shown, **ions, "formats": content.formats, "revision": sheet.revision}


def lists_of(content: SheetContent | None) -> Lists:
    """Return the lists as the form shows them at first."""
    said: dict[str, list[dict[str, Any]]] = {name: [] for name in LINES}
    if content:
        for name in LINES:
            said[name] = [_shown(line, place) for place, line in enumerate(getattr(content, name), start=1)]
    return {name: forms(initial=said[name], prefix=name) for name, (_, forms) in LINES.items()}


def lists_sent(request: HttpRequest) -> Lists:
    """Return the lists with what was sent."""
    return {name: forms(request.POST, prefix=name) for name, (_, forms) in LINES.items()}


def lists_with_more(request: HttpRequest) -> Lists:
    """Return the lists with what was typed, unjudged, and with more lines of the one that was asked for."""
    lists: Lists = {}
    for name, (_, forms) in LINES.items():
        told = request.POST.get(f"{name}-TOTAL_FORMS", "")
        count = min(int(told), MOST_LINES) if told.isdecimal() else 0
        fields = forms.form.base_fields
        typed = [{field: request.POST.get(f"{name}-{at}-{field}", "") for field in fields} for at in range(count)]
        lists[name] = forms(initial=typed, prefix=name)
        if name != request.POST["more"]:
            lists[name].extra = 0
    return lists


def head_as_typed(request: HttpRequest) -> dict[str, Any]:
    """Return the head with what was typed, unjudged."""
    return {**request.POST.dict(), "formats": request.POST.getlist("formats")}


def content_typed(form: Any, lists: Lists) -> SheetContent:
    """Return what was typed as a sheet says it. The forms are valid."""
    read = form.cleaned_data
    said: dict[str, Any] = {name: read[field] for field, name in _HEAD.items()}
    said |= {name: said[name] or 0 for name in _NONE_IS_NOTHING}
    ions = tuple(IonTarget(ion.value, read[ion.value]) for ion in SheetIon.Ion if read[ion.value] is not None)
    said |= {name: tuple(one.line() for one in filled(forms)) for name, forms in lists.items()}
    return SheetContent(**said, ions=ions, formats=tuple(read["formats"]))


def filled(lines: "BaseFormSet[Any]") -> list[Any]:
    """Return the lines that say something, by their numbers where they bear one."""
    given = [(at, one) for at, one in enumerate(lines, start=1) if not one.is_left_empty]
    return [one for at, one in sorted(given, key=lambda pair: (pair[1].cleaned_data.get("number") or pair[0], pair[0]))]


def refuse(refused: DomainError, form: WritingForm, lists: Lists) -> None:
    """Each refusal stands beside the field that it is about, in the head or in a line; else above the form."""
    for fault in refused.all_faults():
        found = _OF_A_LINE.fullmatch(fault.field or "")
        lines = filled(lists[found["list"]]) if found and found["list"] in lists else []
        if found and int(found["index"]) < len(lines):
            line = lines[int(found["index"])]
            name = line.names.get(found["field"], found["field"])
            line.add_error(name if name in line.fields else None, str(fault))
        else:
            shown = {field.name for field in form.visible_fields()}
            form.add_error(fault.field if fault.field in shown else None, str(fault))


def _shown(line: Any, place: int) -> dict[str, Any]:
    """Return what a line of the form shows of a line of a sheet."""
    shown = {
        "share": getattr(line, "share_ppm", None),
        "weight": getattr(line, "weight_micro", None),
        "temperature": getattr(line, "temperature_milli_c", None),
        "number": place,
    }
    if isinstance(line, SaltLine):
        shown["quantity"] = words_of(line)
    if isinstance(line, HopLine):
        is_alpha = line.alpha_micro is not None
        shown |= {"amount": line.alpha_micro if is_alpha else line.weight_micro, "of": ALPHA if is_alpha else WEIGHT}
    return vars(line) | shown
