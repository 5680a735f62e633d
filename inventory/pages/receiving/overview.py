"""Where receiving begins: drafts that somebody is at, the last deliveries, and a new one."""

from typing import Any, ClassVar

from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.clock import now
from brewery.kernel.pages.writing import FormPage, WritingForm, WritingPage
from inventory.pages.choices import offers
from inventory.pages.receiving.head import NewHeadForm, facts_of
from inventory.queries.deliveries import finished_deliveries, open_drafts, receipts_at_once
from inventory.services.delivery_drafts import open_delivery

MOST_RECENT = 20


class ReceivingPage(WritingPage):
    """Drafts, the last deliveries, and what was received without a draft."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/receiving/overview.html"
    http_method_names = ("get", "head")

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context = {
            "drafts": list(open_drafts()),
            "recent": list(finished_deliveries()[:MOST_RECENT]),
            "at_once": list(receipts_at_once()[:MOST_RECENT]),
            "may_write": self.may_write,
        }
        return super().get_context_data(**context, **kwargs)


class NewDeliveryPage(FormPage):
    """The form that opens a draft."""

    right: ClassVar[Right] = Right.RECEIVE
    write_right: ClassVar[Right] = Right.RECEIVE
    template_name = "inventory/receiving/new.html"
    form_class = NewHeadForm

    def new_form(self, *data: Any) -> WritingForm:
        """Return the form; what arrives arrives now."""
        return NewHeadForm(*data) if data else NewHeadForm(initial={"arrived_at": now()})

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        return super().get_context_data(offers=offers("suppliers"), **kwargs)

    def write(self, form: Any) -> str:
        """Open the draft."""
        head = facts_of(form.cleaned_data)
        draft = open_delivery(
            supplier=head.pop("supplier"),
            arrived_at=head.pop("arrived_at"),
            header=head,
            actor=self.person,
            request_id=form.cleaned_data["request_id"],
        )
        return reverse("delivery", args=[draft.pk])
