"""How a trace is asked for on its page: what, and maybe when and which way; all else narrows the answer."""

from datetime import datetime
from typing import Any

from django import forms

from brewery.kernel.clock import aware
from brewery.kernel.pages.days import DayInput
from brewery.kernel.pages.moments import MomentInput
from inventory.models import Link, Material
from inventory.models.dispositions import Disposition
from inventory.pages.scanned import SCANNER
from inventory.services.scans import LONGEST_SCAN
from traceability.queries.graph import ALL_KINDS, Direction
from traceability.queries.tracing import SORTS, Narrowed
from traceability.services.traces import BOTH

WAYS = {BOTH: "both ways", Direction.BACK.value: "back", Direction.FORWARD.value: "forward"}


class TraceAsked(forms.Form):
    """A trace, asked for by GET so that the answer has an address."""

    q = forms.CharField(
        label="Lot, tank, supplier's lot, material, supplier or customer",
        max_length=LONGEST_SCAN,
        widget=forms.TextInput(attrs={**SCANNER, "autofocus": True, "enterkeyhint": "go"}),
        help_text="Scan a label or type a code or a name; of a tank also when: FV3 12 May 14:00.",
    )
    at = forms.DateTimeField(label="What lay there at", required=False, widget=MomentInput)
    way = forms.ChoiceField(label="Which way", required=False, choices=list(WAYS.items()))


class TraceNarrowed(forms.Form):
    """Which links are followed, as of when, and which of the lots found are listed in which order."""

    follow = forms.MultipleChoiceField(
        label="Follow",
        required=False,
        choices=[(kind.label, kind.label) for kind in Link.Kind],
        widget=forms.CheckboxSelectMultiple,
    )
    as_of = forms.DateTimeField(label="As it was at", required=False, widget=MomentInput)
    since = forms.DateField(label="Made or received from", required=False, widget=DayInput)
    until = forms.DateField(label="to", required=False, widget=DayInput)
    place = forms.CharField(label="Lies at (code or name)", required=False, max_length=120)
    disposition = forms.ChoiceField(
        label="Disposition", required=False, choices=[("", "all dispositions"), *Disposition.choices]
    )
    kind = forms.ChoiceField(label="Kind", required=False, choices=[("", "all kinds"), *Material.Kind.choices])
    sort = forms.ChoiceField(
        required=False,
        choices=[(sign + name, name) for name in SORTS for sign in ("", "-")],
        widget=forms.HiddenInput,
    )

    @property
    def kinds(self) -> frozenset[Link.Kind]:
        """The kinds of link asked for; all where none was."""
        names = self.cleaned_data.get("follow") or []
        return frozenset(kind for kind in Link.Kind if kind.label in names) or ALL_KINDS

    @property
    def moment(self) -> datetime | None:
        """The past moment asked for, or None for now."""
        asked: datetime | None = self.cleaned_data.get("as_of")
        return aware(asked) if asked else None

    @property
    def narrowed(self) -> Narrowed:
        """Which of the rows are wanted."""
        told: dict[str, Any] = self.cleaned_data
        return Narrowed(
            told.get("since"),
            told.get("until"),
            told.get("place") or "",
            told.get("disposition") or "",
            told.get("kind") or "",
        )
