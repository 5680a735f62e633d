"""One vessel: what it holds and of what that is made, the work that can be done, and what was done last."""

from typing import Any, ClassVar, cast

from django.urls import reverse
from django.utils.text import capfirst

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import day_text, moment_text, quantity
from brewery.production.pages.cellar.cautions import CONFINED, GAS
from brewery.production.pages.cellar.fermentation import drawn
from brewery.production.pages.cellar.work import Held, held_in_vessel
from brewery.production.queries.cellar import BREWED, Card, card_of
from brewery.production.queries.tank_events import last_events_in
from inventory.models import Link, Location
from inventory.queries.vessel_care import SHOWN, cleanings_of, service_of
from inventory.queries.vessels import State, VesselState, occupations_of

WORK = (
    ("Pitch", "cellar-pitch", Right.CELLAR),
    ("Harvest yeast", "cellar-harvest", Right.CELLAR),
    ("Transfer", "cellar-transfer", Right.CELLAR),
    ("Kraeusen", "cellar-kraeusen", Right.CELLAR),
    ("Dry hop", "cellar-dry-hop", Right.CELLAR),
    ("Add finings", "cellar-addition", Right.CELLAR),
    ("Dilute", "cellar-dilution", Right.CELLAR),
    ("Filter", "cellar-filtration", Right.CELLAR),
    ("Gauge", "cellar-gauge", Right.COUNT_STOCK),
    ("Dump", "cellar-dump", Right.DESTROY),
)
OF_PITCHED_BEER = ("cellar-harvest",)
OF_ANY_VESSEL = ("cellar-gauge", "cellar-dump")
TAKE_OUT = ("Take out of service", "cellar-out-of-service")


class TankPage(Page):
    """One vessel of the cellar."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "production/cellar/tank.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        held = held_in_vessel(self.kwargs["code"])
        card = card_of(held.vessel, brewery_day())
        is_tank = held.vessel.kind in Location.TANKS
        has = cast(User, self.request.user).has_right
        context = {
            "held": held,
            "card": card,
            "drawing": drawn(card.fermentation) if card.fermentation else None,
            "readings_url": reverse("cellar-readings", args=[held.vessel.code]) if is_tank else None,
            "facts": facts_of(held, card),
            "parents": made_of(held),
            "work": [(label, reverse(name, args=[held.vessel.code])) for label, name in offered(held, card.now, has)],
            "events": last_events_in(held.vessel),
            "stays": occupations_of(held.vessel)[: -SHOWN - 1 : -1],
            "cleanings": cleanings_of(held.vessel),
            "marks": service_of(held.vessel),
            "withdraw_url": reverse("cellar-withdrawal", args=[held.vessel.code]) if has(Right.CLEAN) else None,
            "undo_url": reverse("cellar-undo", args=[held.vessel.code]) if has(Right.REVERSE) else None,
            "cautions": (GAS, CONFINED) if is_tank else (),
            **kwargs,
        }
        return super().get_context_data(**context)


def offered(held: Held, now: VesselState, has: Any) -> list[tuple[str, str]]:
    """Return the work that makes sense now, for whoever has the right to it; of an empty vessel that is its care."""
    if held.lot is None:
        is_out = now.state == State.OUT_OF_SERVICE
        care = [("Put back into service", "cellar-into-service")] if is_out else [TAKE_OUT]
        return [("Clean", "cellar-cleaning"), *care] if has(Right.CLEAN) else []
    is_tank = held.vessel.kind in Location.TANKS
    is_pitched = held.lot.generation is not None
    return [
        (label, name)
        for label, name, right in WORK
        if has(right) and (is_tank or name in OF_ANY_VESSEL) and (is_pitched or name not in OF_PITCHED_BEER)
    ]


def made_of(held: Held) -> list[Link]:
    """Return what the contents were made of directly; their trace tells the rest."""
    if held.lot is None:
        return []
    links = Link.objects.filter(child=held.lot, reversed_by=None)
    return list(links.select_related("parent__material").order_by("kind", "pk"))


def facts_of(held: Held, card: Card) -> list[Fact]:
    """Return what is known of the vessel and of what it holds, label by label."""
    vessel = held.vessel
    facts = [Fact("Kind", vessel.get_kind_display())]
    if held.lot:
        facts.append(Fact("Holds", quantity(held.quantity_micro, held.lot.material.base_unit)))
        facts.append(Fact("Lot", held.lot.code, reverse("lot", args=[held.lot.pk])))
        facts.append(Fact("Of", held.lot.material.name))
    else:
        facts.append(Fact("Holds", "nothing"))
    if vessel.capacity_micro is not None:
        facts.append(Fact("Capacity", quantity(vessel.capacity_micro, vessel.capacity_unit)))
    facts += _facts_of_care(card.now)
    if held.lot and held.lot.material.kind in BREWED:
        facts += _facts_of_beer(card)
    planned = ", ".join(f"{plan.code} on {day_text(plan.brew_on)}" for plan in card.plans)
    return [*facts, Fact("Brews planned into it", planned)] if planned else facts


def _facts_of_care(now: VesselState) -> list[Fact]:
    told = f"{now.state.words}, since {moment_text(now.since)}" if now.since else now.state.words
    cleaned = now.cleaned
    last = f"{moment_text(cleaned.happened_at)}: {cleaned.programme}" if cleaned else "none on record"
    return [Fact("State", capfirst(told)), Fact("Last cleaning", last)]


def _facts_of_beer(card: Card) -> list[Fact]:
    facts = []
    if card.beginnings and card.beginnings.origins:
        brews = ", ".join(one.brew.code for one in card.beginnings.origins)
        facts.append(Fact("Brews in it", brews))
        facts.append(Fact("Knocked out", moment_text(card.beginnings.origins[0].knocked_out_at)))
    if card.beginnings and card.beginnings.pitched_at:
        facts.append(Fact("Pitched", moment_text(card.beginnings.pitched_at)))
    if card.fermentation and card.readings:
        facts.append(Fact("Last read", ", ".join(card.readings)))
    if card.day:
        facts.append(Fact("By the sheet now", card.day.now))
        facts.append(Fact("Due next", f"{card.day.next}, {day_text(card.day.due_on)}"))
    return facts
