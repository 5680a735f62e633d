"""How one lot keeps: its limits, and of a hop its alpha acids drawn over time with what is known of them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time
from typing import Any, ClassVar

from django import forms
from django.utils.safestring import SafeString, mark_safe

from brewery.kernel.access import Right
from brewery.kernel.clock import brewery_day, brewery_zone, now
from brewery.kernel.drawing.time_chart import Level, Panel, Point, Span, TimeChart, draw
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.days import DayInput
from inventory.models import Balance, Keeping, Location, Lot, Material
from inventory.pages.keeping.overview import KeptPart, kept_part
from inventory.pages.stock.handling import lot_at
from inventory.queries.freshness import last_days_of, wishes
from inventory.queries.hop_alpha import AlphaToday, alphas_of
from inventory.queries.hop_outlook import Outlook, outlook_of
from inventory.services.keeping_rules import LEAST_PART
from inventory.services.keepings import crossings_of

HEIGHT = 230


class BrewDayForm(forms.Form):
    """For which day the alpha acids are asked."""

    on = forms.DateField(label="Alpha acids on", widget=DayInput, required=False)


@dataclass(frozen=True)
class ShownOutlook:
    """One part with its drawing, what it is now in words, and what it is on the day asked for."""

    outlook: Outlook
    svg: SafeString
    on_day: AlphaToday | None


class LotKeepingPage(Page):
    """How one lot keeps."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/keeping/lot.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        lot, moment = lot_at(kwargs["lot"]), now()
        form = BrewDayForm(self.request.GET)
        on = form.cleaned_data.get("on") if form.is_valid() else None
        parts = Balance.objects.filter(lot=lot, quantity_micro__gt=0, location__kind__in=Location.ON_HAND)
        parts = parts.select_related("lot__material", "location").order_by("-quantity_micro", "location__code")
        is_hop = lot.material.kind == Material.Kind.HOP
        return super().get_context_data(
            **{**kwargs, "lot": lot},
            form=form,
            is_hop=is_hop,
            customers=last_days_of([lot], wishes()).get(lot.pk, ()),
            today=brewery_day(),
            kept=_kept(lot, {part.location: part.quantity_micro for part in parts}, moment),
            outlooks=[_shown(outlook_of(part, moment), on) for part in parts] if is_hop else [],
            may_say=is_hop and self._may(Right.MOVE_STOCK),
            may_rate=is_hop and self._may(Right.SPECIFY),
        )

    def _may(self, right: Right) -> bool:
        return bool(self.request.user.has_right(right))  # type: ignore[union-attr]


def _kept(lot: Lot, held: Mapping[Location, int], moment: datetime) -> list[KeptPart]:
    """Return the limits of the lot as they are this very moment: what is kept may be some minutes old."""
    crossings = {(place, rule): found for (_, place, rule), found in crossings_of([lot.pk]).items()}
    rows = [
        (Keeping(lot=lot, location=place, rule=rule, crosses_at=moment_of, is_known=is_known), micro)
        for place, micro in held.items()
        for (key, rule), (moment_of, is_known) in crossings.items()
        if key == place.pk
    ]
    return [kept_part(row, micro, moment) for row, micro in rows]


def _shown(outlook: Outlook, on: date | None) -> ShownOutlook:
    on_day = None
    if on and outlook.curve:
        asked = datetime.combine(on, time(12), brewery_zone())
        (on_day,) = alphas_of([(outlook.lot, outlook.location, asked)])
    return ShownOutlook(outlook, _drawn(outlook), on_day)


def _drawn(outlook: Outlook) -> SafeString:
    if not outlook.curve:
        return mark_safe("")
    zone = brewery_zone()
    since, until = (outlook.curve[at][0].astimezone(zone) for at in (0, -1))
    found = outlook.facts.observations
    limit = LEAST_PART * found[0].alpha_pct
    panel = Panel(
        f"Alpha acids, with the limit of {limit:.3g} %",
        "%",
        HEIGHT,
        [Point(one.since, one.alpha_pct, one.alpha_pct < limit) for one in found if one.since <= until],
        [Point(at, alpha.alpha_pct) for at, alpha in outlook.curve],
        [Span(at, alpha.low_pct, alpha.high_pct) for at, alpha in outlook.curve],
        [Level(since, until, limit)],
    )
    chart = TimeChart(f"Alpha acids of lot {outlook.lot.code} in {outlook.location.name}", since, until, [panel])
    # What is drawn is numbers of ours and words that the drawing has escaped.
    return mark_safe(draw(chart))  # noqa: S308
