"""Forms of work that tell first what should be known: the same form sent again unchanged does it."""

from abc import ABC
from collections.abc import Mapping
from hashlib import sha256
from typing import Any, ClassVar

from django import forms
from django.http import HttpRequest, HttpResponse

from brewery.kernel.access import Right
from brewery.kernel.errors import DomainError
from brewery.kernel.models import Request, User
from brewery.kernel.pages.moments import HappenedForm
from brewery.kernel.pages.writing import FormPage, go_on
from brewery.science.ranges import OutOfRange


class ToldForm(HappenedForm):
    """What every piece of work asks: when, and why a refusal is overridden where that is anybody's right."""

    names: ClassVar[Mapping[str, str]] = {}

    override_reason = forms.CharField(
        label="Override, because", required=False, max_length=200, help_text="For a lot that is refused."
    )
    seen = forms.CharField(required=False, max_length=64, widget=forms.HiddenInput)

    def __init__(self, *args: Any, person: User, **options: Any) -> None:
        super().__init__(*args, **options)
        if not person.has_right(Right.OVERRIDE):
            del self.fields["override_reason"]

    @property
    def told_for(self) -> str:
        """What stands for all that was typed: what was told before of something else does not count as seen."""
        typed = {name: self.data.get(name, "") for name in self.fields if name not in ("seen", "request_id")}
        return sha256(repr(sorted(typed.items())).encode()).hexdigest()

    @property
    def is_seen(self) -> bool:
        """Whether the person has seen what was told of exactly this, or sends again what was done."""
        is_done = Request.objects.filter(pk=self.cleaned_data["request_id"]).exists()
        return is_done or self.data.get("seen") == self.told_for

    def has_told(self) -> None:
        """From now on what is sent again unchanged counts as seen."""
        self.data = {**dict(self.data.items()), "seen": self.told_for}

    def service_facts(self) -> dict[str, Any]:
        """Return what every service of the cellar wants of the form, but for the person."""
        asked = self.cleaned_data
        facts = {"happened_at": asked["happened_at"], "request_id": asked["request_id"]}
        return facts | ({"override_reason": asked["override_reason"]} if "override_reason" in asked else {})


class UndoForm(ToldForm):
    """Which event is undone, and why. A reversal bears the time of what it reverses."""

    names: ClassVar[Mapping[str, str]] = {"event": ""}

    event = forms.IntegerField(min_value=1, max_value=2**63 - 1, widget=forms.HiddenInput)
    reason = forms.CharField(label="Why it is undone", max_length=200)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        del self.fields["happened_at"]
        self.fields.pop("override_reason", None)

    def service_facts(self) -> dict[str, Any]:
        """Return what a reversal wants of the form, but for the event and the person."""
        return {"reason": self.cleaned_data["reason"], "request_id": self.cleaned_data["request_id"]}


class ToldPage(FormPage, ABC, is_a_kind_of_page=True):
    """A form; what the person should know first is told, and the same form sent again does it."""

    def told(self, form: Any) -> list[str]:
        """Return what is to be known before this is done, in sentences; it is done at once where that is nothing.

        Raises DomainError, OutOfRange.
        """
        return []

    def post(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        """Tell what is to be known, or do it; or show the form again with what is wrong."""
        form: Any = self.new_form(request.POST)
        if form.is_valid():
            try:
                told = [] if form.is_seen else self.told(form)
                if told:
                    form.has_told()
                    return self.render_to_response(self.get_context_data(form=form, told=told, **kwargs))
                return go_on(self.write(form))
            except DomainError as refused:
                form.refuse(refused)
            except OutOfRange as beyond:
                form.add_error(None, str(beyond))
        return self.render_to_response(self.get_context_data(form=form, **kwargs), status=400)
