"""What the templates of every app may use: navigation, moments, quantities, and boxes that scroll."""

from datetime import date, datetime

from django import template
from django.contrib.auth.models import AnonymousUser
from django.template import Context
from django.utils import formats, timezone
from django.utils.html import format_html
from django.utils.safestring import SafeString

from brewery.kernel.models import User
from brewery.kernel.pages.navigation import ShownGroup, groups_for
from brewery.science.units import format_micro

register = template.Library()

PLACES_SHOWN = 3
"""Grams, millilitres: finer than any scale or meter of a brewery reads."""

PERCENT_PLACES = 2

THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"
FIXED_SPACE = "\N{NO-BREAK SPACE}"


@register.simple_tag(takes_context=True)
def navigation(context: Context) -> list[ShownGroup]:
    """Return the navigation of the person who is signed in; nobody's is empty."""
    user: User | AnonymousUser | None = context.get("user")
    if not isinstance(user, User):
        return []
    return groups_for(user, context["request"].path)


@register.filter
def quantity(micro: int | float, unit: str) -> str:
    """Return a quantity for people: in `unit`, rounded to three decimals, thousands set apart. Not exact.

    What would round to nothing, and is not nothing, is told as less than the least that is shown.
    """
    number = _number(round(micro), unit)
    if number in ("0", "-0") and micro:
        number = _almost_nothing(micro, PLACES_SHOWN)
    return f"{number}{FIXED_SPACE}{unit}"


@register.filter
def exact_quantity(micro: int, unit: str) -> str:
    """Return a quantity for people: in `unit`, with every decimal that it has, thousands set apart."""
    return f"{set_apart(format_micro(micro, unit))}{FIXED_SPACE}{unit}"


@register.filter
def percent(value: float) -> str:
    """Return a percentage with two decimals; what is not nothing is never told as nothing."""
    number = f"{value:.{PERCENT_PLACES}f}"
    if value and not float(number):
        number = _almost_nothing(value, PERCENT_PLACES)
    return f"{number}{FIXED_SPACE}%"


def _number(micro: int, unit: str) -> str:
    """Return the number alone, without what its unit is."""
    exact = format_micro(micro, unit)
    too_fine = len(exact.partition(".")[2]) > PLACES_SHOWN
    return set_apart(format_micro(micro, unit, PLACES_SHOWN) if too_fine else exact)


def set_apart(text: str) -> str:
    """Return a plain decimal with its thousands set apart, without noughts at its end."""
    whole, _, places = text.partition(".")
    number = f"{int(whole):,}".replace(",", THIN_SPACE)
    sign = "-" if whole.startswith("-") and not number.startswith("-") else ""
    fraction = f".{places.rstrip('0')}" if places.rstrip("0") else ""
    return f"{sign}{number}{fraction}"


def _almost_nothing(value: float, places: int) -> str:
    least = f"{10**-places:.{places}f}"
    return f"<{FIXED_SPACE}{least}" if value > 0 else f">{FIXED_SPACE}-{least}"


@register.simple_tag
def moment(value: datetime | None) -> SafeString | str:
    """Return a moment in the zone of the page, also in a form for machines; nothing for None."""
    if value is None:
        return ""
    return format_html('<time datetime="{}">{}</time>', timezone.localtime(value).isoformat(), moment_text(value))


@register.simple_tag
def day(value: date | None) -> SafeString | str:
    """Return a calendar day, also in a form for machines; nothing for None."""
    if value is None:
        return ""
    return format_html('<time datetime="{}">{}</time>', value.isoformat(), day_text(value))


def moment_text(value: datetime) -> str:
    """Return a moment in the zone of the page, in words."""
    return formats.date_format(timezone.localtime(value), "j M Y, H:i")


def day_text(value: date) -> str:
    """Return a calendar day in words."""
    return formats.date_format(value, "j M Y")


@register.simple_block_tag
def scroll(content: SafeString, label: str, is_tall: bool = False) -> SafeString:
    """Return `content` in a box that scrolls by itself and that the keyboard can reach."""
    kind = "scroll is-tall" if is_tall else "scroll"
    return format_html('<div class="{}" role="region" aria-label="{}" tabindex="0">{}</div>', kind, label, content)
