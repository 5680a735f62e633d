"""The buttons of a brew sheet's page: it is put in use, discarded, withdrawn, or begun again as its next version."""

from abc import ABC, abstractmethod
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.pages.writing import WritingForm, WritingPage, go_on
from brewery.production.models import BrewSheet
from brewery.production.pages.sheets.named import sheet_or_404
from brewery.production.services.sheets import copy_sheet, discard_sheet, put_sheet_in_use, withdraw_sheet


class StepForm(WritingForm):
    """A button: what it is about stands in its address. `revision` is what the person has seen."""

    revision = forms.IntegerField(min_value=1, widget=forms.HiddenInput)


class SheetStep(WritingPage, ABC, is_a_kind_of_page=True):
    """An address that does something with a sheet; afterwards the sheet is shown, or what stands in the way."""

    right: ClassVar[Right] = Right.BREW
    write_right: ClassVar[Right] = Right.BREW
    template_name = "production/sheets/refused.html"
    http_method_names = ("post",)

    @abstractmethod
    def do(self, sheet: BrewSheet, revision: int, **by: Any) -> BrewSheet:
        """Call the service, and return the sheet to go on to. Raises DomainError."""

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Do it, and show the sheet; or say what stands in the way."""
        sheet, form = sheet_or_404(kwargs["sheet"]), StepForm(request.POST)
        if not form.is_valid():
            return self._refused(sheet, "The button was sent without what it needs.", [], 400)
        asked = form.cleaned_data
        try:
            done = self.do(sheet, asked["revision"], actor=self.person, request_id=asked["request_id"])
        except DomainError as refused:
            return self._refused(sheet, refused.title, [str(one) for one in refused.all_faults()], refused.status)
        return go_on(reverse("brew-sheet", args=[done.pk]))

    def _refused(self, sheet: BrewSheet, title: str, faults: list[str], status: int) -> HttpResponse:
        context = self.get_context_data(named=sheet, title=title, faults=faults)
        return self.render_to_response(context, status=status)


class SheetUse(SheetStep):
    """A draft is put in use."""

    def do(self, sheet: BrewSheet, revision: int, **by: Any) -> BrewSheet:
        """Put it in use, as of the revision that was seen."""
        return put_sheet_in_use(sheet=sheet, revision=revision, **by)


class SheetDiscard(SheetStep):
    """A draft is put away."""

    def do(self, sheet: BrewSheet, revision: int, **by: Any) -> BrewSheet:
        """Discard it, as of the revision that was seen."""
        return discard_sheet(sheet=sheet, revision=revision, **by)


class SheetWithdrawal(SheetStep):
    """A sheet is withdrawn."""

    def do(self, sheet: BrewSheet, revision: int, **by: Any) -> BrewSheet:
        """Withdraw it."""
        return withdraw_sheet(sheet=sheet, **by)


class SheetCopy(SheetStep):
    """The next version begins as a copy."""

    def do(self, sheet: BrewSheet, revision: int, **by: Any) -> BrewSheet:
        """Copy it."""
        return copy_sheet(sheet=sheet, **by)
