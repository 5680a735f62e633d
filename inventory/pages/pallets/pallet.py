"""One pallet: what lies on it, where it stands, and what can be done with it."""

from typing import Any, ClassVar

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.urls import reverse
from django.utils.http import urlencode

from brewery.kernel.access import Right
from brewery.kernel.pages.facts import Fact
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage, go_on
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import LogisticUnit
from inventory.pages.choices import offers
from inventory.pages.pallets.forms import FORMS
from inventory.queries.pallets import moves_of, pallet_of, with_contents
from inventory.services.pallets import load_pallet, move_pallet, unload_pallet
from inventory.services.scan_refusals import UnreadableScan
from inventory.services.scans import read_scan
from inventory.services.stock import Part


class PalletView(WritingPage, is_a_kind_of_page=True):
    """The page of one pallet, whatever is done with it."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.MOVE_STOCK
    template_name = "inventory/pallets/pallet.html"

    @property
    def unit(self) -> LogisticUnit:
        """The pallet that the address names. Raises Http404."""
        found = pallet_of(self.kwargs["sscc"])
        if found is None:
            raise Http404(f"There is no pallet {self.kwargs['sscc']}.")
        return found

    @property
    def address(self) -> str:
        """Where the pallet is shown."""
        return reverse("pallet", args=[self.kwargs["sscc"]])

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        unit = self.unit
        (pallet,) = with_contents([unit])
        moves = list(moves_of(unit))
        context = {
            **{name: form_class(auto_id=f"{name}_%s") for name, form_class in FORMS.items()},
            **kwargs,
            "unit": unit,
            "facts": facts_of(unit),
            "contents": pallet.contents,
            "moves": moves,
            "may_write": self.may_write,
            "may_ship": self.person.has_right(Right.DISPATCH) and bool(pallet.contents),
            "offers": offers("stores"),
        }
        return super().get_context_data(**context)


class PalletPage(PalletView):
    """One pallet."""

    http_method_names = ("get", "head")


class PalletWriting(PalletView, FormPage, is_a_kind_of_page=True):
    """Does one thing with the pallet; what is refused comes back beside its field, on the pallet's page."""

    http_method_names = ("post",)
    form_name: ClassVar[str]

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form of what is done."""
        return FORMS[self.form_name](*data, auto_id=f"{self.form_name}_%s")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        if "form" in kwargs:
            kwargs[self.form_name] = kwargs.pop("form")
        return super().get_context_data(**kwargs)

    def done(self, words: str) -> str:
        """Say what was done, and return the pallet's address."""
        messages.success(self.request, words)
        return self.address


class PalletMoving(PalletWriting):
    """Moves the pallet. A scan of another pallet or of a lot is shown instead: it was not meant for this one."""

    form_name = "move_form"

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        text = request.POST.get("to_location", "")
        if names_something_else(text):
            return go_on(f"{reverse('scan')}?{urlencode({'text': text})}")
        return super().post(request, *args, **kwargs)

    def write(self, form: Any) -> str:
        """Move it."""
        move = move_pallet(unit=self.unit, actor=self.person, **form.cleaned_data)
        return self.done(f"It stands in {move.to_location.name} now.")


class PalletLoading(PalletWriting):
    """Puts a quantity of a lot on the pallet."""

    form_name = "load_form"

    def write(self, form: Any) -> str:
        """Put it there."""
        asked, unit = form.cleaned_data, self.unit
        part = Part(asked["lot"], asked["from_location"] or unit.stands_in, asked["quantity_micro"])
        moment, request_id = asked["happened_at"], asked["request_id"]
        load_pallet(unit=unit, parts=[part], happened_at=moment, actor=self.person, request_id=request_id)
        return self.done(f"{asked['quantity']} of {part.lot.code} lie on it now.")


class PalletUnloading(PalletWriting):
    """Takes a quantity of a lot off the pallet, or all that lies on it."""

    form_name = "unload_form"

    def write(self, form: Any) -> str:
        """Take it off."""
        asked, unit = form.cleaned_data, self.unit
        parts = [Part(asked["lot"], unit.location, asked["quantity_micro"])] if asked["lot"] else []
        unload_pallet(
            unit=unit,
            parts=parts,
            to_location=asked["to_location"],
            happened_at=asked["happened_at"],
            actor=self.person,
            request_id=asked["request_id"],
        )
        return self.done("It was taken off.")


def names_something_else(text: str) -> bool:
    """Return whether a scan names a pallet or a lot, and no place."""
    try:
        scan = read_scan(text)
    except UnreadableScan:
        return False
    return bool(scan.sscc or scan.own_lot)


def facts_of(unit: LogisticUnit) -> list[Fact]:
    """Return what is known of a pallet, label by label."""
    store = unit.stands_in
    return [
        Fact("SSCC", unit.sscc),
        Fact("It stands in", store.name, reverse("place", args=[store.pk])),
        Fact("Made", moment_text(unit.made_at)),
    ]
