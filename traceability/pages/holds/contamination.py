"""What a contamination of a culture or a tank may have reached, and one button that holds all of it."""

from typing import Any, ClassVar, cast

from django import forms

from brewery.kernel.access import Right
from brewery.kernel.clock import aware
from brewery.kernel.errors import DomainError
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.moments import MomentInput
from traceability.pages.holds.placing import hold_form
from traceability.queries.asking import NAMES
from traceability.queries.contaminations import Contamination, contamination_of


class ContaminationForm(forms.Form):
    """Of what, since when, and over which links."""

    of = forms.CharField(label="Lot or tank", max_length=40, help_text="The code of a culture, a beer, a tank.")
    since = forms.DateTimeField(
        label="Since", required=False, widget=MomentInput, help_text="Of a tank; else since its last cleaning."
    )
    ingredient = forms.BooleanField(
        label="Also what was made of it: beer that it was pitched into, and its packages", required=False, initial=True
    )


class ContaminationPage(Page):
    """What a contamination may have reached."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/holds/contamination.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        asking = ContaminationForm(self.request.GET or None)
        found = _found(asking)
        follow = [name for name in NAMES if found and NAMES[name] in found.kinds]
        context = {
            **kwargs,
            "asking": asking,
            "found": found,
            "may_hold": cast(User, self.request.user).has_right(Right.DECIDE),
        }
        if found and found.starts:
            context["form"] = hold_form(found.starts, follow, found.reason)
        return super().get_context_data(**context)


def _found(asking: ContaminationForm) -> Contamination | None:
    if not asking.is_valid():
        return None
    asked = asking.cleaned_data
    since = aware(asked["since"]) if asked["since"] else None
    try:
        return contamination_of(asked["of"].strip(), since=since, with_ingredient=asked["ingredient"])
    except DomainError as refused:
        asking.add_error("of", str(refused))
        return None
