"""One event: all that it moved, linked and made, so that every figure can be followed to what it is a sum of."""

from typing import Any, ClassVar

from django.http import Http404
from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import moment_text
from inventory.models import Event
from inventory.queries.events import events_in_full


class EventPage(Page):
    """The postings and links of one event."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "traceability/event.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        event = events_in_full().select_related("reverses").filter(pk=kwargs["event"]).first()
        if event is None:
            raise Http404(f"There is no event {kwargs['event']}.")
        kwargs["event"] = event
        return super().get_context_data(facts=facts_of(event), **kwargs)


def facts_of(event: Event) -> list[Fact]:
    """Return what is known of an event, label by label."""
    facts = [
        Fact("Happened", moment_text(event.happened_at)),
        Fact("Recorded", moment_text(event.recorded_at)),
        Fact("By", event.actor.get_full_name() or event.actor.get_username()),
    ]
    told = {"Reference": event.reference, "Why": event.reason, "Override": event.override_reason}
    facts += [Fact(label, words) for label, words in told.items() if words]
    if event.reverses:
        facts.append(Fact("Reverses", str(event.reverses), reverse("event", args=[event.reverses.pk])))
    if hasattr(event, "reversed_by"):
        facts.append(Fact("Reversed by", str(event.reversed_by), reverse("event", args=[event.reversed_by.pk])))
    return facts
