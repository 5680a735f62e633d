"""The page of one lot."""

from collections.abc import Sequence
from datetime import datetime
from typing import Any, ClassVar, cast
from urllib.parse import urlencode

from django import forms
from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import aware
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import day_text, moment_text
from inventory.models import Link, Lot, Material
from inventory.queries.ledger import ledger_of
from inventory.queries.measured_strengths import measured_alcohol
from traceability.pages.drawn import drawn_trace
from traceability.pages.standing import quality_actions, standing_of
from traceability.queries.epcis_captured import captured_naming
from traceability.queries.graph import ALL_KINDS, Direction
from traceability.queries.mass_balance import mass_balance
from traceability.queries.report import report_on
from traceability.queries.trace import trace

MOST_CAPTURED = 50


class TraceForm(forms.Form):
    """Which links to follow, and as of when."""

    follow = forms.MultipleChoiceField(
        label="Follow",
        required=False,
        choices=[(kind.label, kind.label) for kind in Link.Kind],
        widget=forms.CheckboxSelectMultiple,
    )
    as_of = forms.DateTimeField(
        label="As of", required=False, widget=forms.DateTimeInput(attrs={"type": "datetime-local"})
    )

    @property
    def kinds(self) -> frozenset[Link.Kind]:
        """The kinds of link asked for; all where none was."""
        names = self.cleaned_data.get("follow") or []
        return frozenset(kind for kind in Link.Kind if kind.label in names) or ALL_KINDS

    @property
    def moment(self) -> datetime | None:
        """The moment asked for, or None for now."""
        asked: datetime | None = self.cleaned_data.get("as_of")
        return aware(asked) if asked else None


class LotPage(Page):
    """One lot: what it is, what happened to it, how it stands, where it came from and went, and whether it adds up."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/lot.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot = Lot.objects.select_related("material", "supplier", "made_by__actor").filter(pk=kwargs["lot"]).first()
        if lot is None:
            raise Http404(f"There is no lot {kwargs['lot']}.")
        form = TraceForm(self.request.GET)
        form.is_valid()
        as_of = form.moment
        reports = {way: report_on(trace(lot, way, kinds=form.kinds, as_of=as_of)) for way in Direction}
        context = {
            **kwargs,
            "lot": lot,
            "facts": facts_of(lot),
            "actions": actions_for(lot, cast(User, self.request.user)),
            "standing": standing_of(lot, reports[Direction.BACK].trace),
            "places": reports[Direction.BACK].subject_places,
            "ledger": ledger_of(lot, as_of),
            "captured": captured_naming(lot)[:MOST_CAPTURED],
            "trace_form": form,
            "as_of": as_of,
            "traces": [drawn_trace(report) for report in reports.values()],
            "balance": mass_balance(lot, as_of=as_of),
        }
        return super().get_context_data(**context)


def facts_of(lot: Lot) -> list[Fact]:
    """Return what is known of a lot, label by label."""
    facts = [
        Fact("Material", f"{lot.material.name} ({lot.material.get_kind_display()})"),
        Fact("Made or received", moment_text(lot.made_at)),
        Fact("Recorded by", lot.made_by.actor.get_full_name() or lot.made_by.actor.get_username()),
    ]
    if lot.supplier:
        facts += [Fact("Supplier", lot.supplier.name), Fact("Supplier's lot", lot.supplier_lot)]
    if lot.made_by.reference:
        facts.append(Fact("Reference", lot.made_by.reference))
    if lot.best_before:
        facts.append(Fact("Best before", day_text(lot.best_before)))
    if lot.material.kind == Material.Kind.PACKAGED:
        alcohol = measured_alcohol(lot)
        facts.append(Fact("Alcohol, as measured", alcohol.shown if alcohol else "not measured"))
    if lot.generation is not None:
        facts.append(Fact("Yeast generation", str(lot.generation)))
    return facts


def actions_for(lot: Lot, person: User) -> Sequence[dict[str, str]]:
    """Return what the person can do from a lot's page."""
    actions = [
        {"label": "Find like lots", "href": f"{reverse('lots')}?kind={lot.material.kind}"},
        {"label": "Trace it", "href": f"{reverse('trace')}?{urlencode({'q': f'lot:{lot.code}'})}"},
        {"label": "Every record of it", "href": reverse("vertical-audit", args=[lot.code])},
        {
            "label": "What bad lots share with it",
            "href": f"{reverse('common-cause')}?{urlencode({'lots': lot.code})}",
        },
    ]
    if not lot.reversed_by_id:
        actions.append(
            {"label": "Its stock: move, reserve, sample, destroy", "href": reverse("stock-lot", args=[lot.pk])}
        )
        actions.append({"label": "Print its label", "href": reverse("lot-label", args=[lot.pk])})
        actions += quality_actions(lot, person)
    return actions
