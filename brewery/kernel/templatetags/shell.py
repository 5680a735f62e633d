"""What the templates of every app may use: navigation, moments, quantities, and boxes that scroll."""

from datetime import date, datetime

from django import template
from django.contrib.auth.models import AnonymousUser
from django.template import Context
from django.utils import formats, timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from brewery.kernel.models import User
from brewery.kernel.pages.navigation import ShownEntry, entries_for
from brewery.science.units import format_micro

register = template.Library()

PLACES_SHOWN = 3
"""Grams, millilitres: finer than any scale or meter of a brewery reads."""

THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"


@register.simple_tag(takes_context=True)
def navigation(context: Context) -> list[ShownEntry]:
    """Return the navigation of the person who is signed in; nobody's is empty."""
    user: User | AnonymousUser | None = context.get("user")
    if not isinstance(user, User):
        return []
    return entries_for(user, context["request"].path)


@register.filter
def quantity(micro: int | float, unit: str) -> str:
    """Return a quantity for people: in `unit`, rounded to three decimals, thousands set apart. Not exact."""
    whole_micro = round(micro)
    shortest = format_micro(whole_micro, unit)
    whole, _, places = shortest.partition(".")
    if len(places) > PLACES_SHOWN:
        whole, _, places = format_micro(whole_micro, unit, PLACES_SHOWN).partition(".")
    number = f"{int(whole):,}".replace(",", THIN_SPACE)
    sign = "-" if whole.startswith("-") and not number.startswith("-") else ""
    fraction = f".{places.rstrip('0')}" if places.rstrip("0") else ""
    return f"{sign}{number}{fraction}\N{NO-BREAK SPACE}{unit}"


@register.simple_tag
def moment(value: datetime | None) -> SafeString | str:
    """Return a moment in the zone of the page, also in a form for machines; nothing for None."""
    if value is None:
        return ""
    local = timezone.localtime(value)
    return format_html('<time datetime="{}">{}</time>', local.isoformat(), formats.date_format(local, "j M Y, H:i"))


@register.simple_tag
def day(value: date | None) -> SafeString | str:
    """Return a calendar day, also in a form for machines; nothing for None."""
    if value is None:
        return ""
    return format_html('<time datetime="{}">{}</time>', value.isoformat(), formats.date_format(value, "j M Y"))


@register.simple_block_tag
def scroll(content: SafeString, label: str, is_tall: bool = False) -> SafeString:
    """Return `content` in a box that scrolls by itself and that the keyboard can reach."""
    kind = "scroll is-tall" if is_tall else "scroll"
    return format_html('<div class="{}" role="region" aria-label="{}" tabindex="0">{}</div>', kind, label, content)
