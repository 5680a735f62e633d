"""The main navigation: one entry a page that people start from, in the order in which it is shown."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.urls import reverse

from brewery.kernel.access import Right
from brewery.kernel.models import User


@dataclass(frozen=True, slots=True)
class NavigationEntry:
    """One page in the navigation, and the right that a person needs to be shown it."""

    label: str
    url_name: str
    right: Right


@dataclass(frozen=True, slots=True)
class ShownEntry:
    """One entry as somebody is shown it."""

    label: str
    href: str
    is_current: bool


NAVIGATION: tuple[NavigationEntry, ...] = (
    NavigationEntry("Tanks and stores", "home", Right.VIEW_RECORDS),
    NavigationEntry("Scan", "scan", Right.VIEW_RECORDS),
    NavigationEntry("Receiving", "receiving", Right.VIEW_RECORDS),
    NavigationEntry("Orders", "orders", Right.VIEW_RECORDS),
    NavigationEntry("Stock", "stock", Right.VIEW_RECORDS),
    NavigationEntry("Lots", "lots", Right.VIEW_RECORDS),
    NavigationEntry("Trace", "trace", Right.VIEW_RECORDS),
    NavigationEntry("Pallets", "pallets", Right.VIEW_RECORDS),
    NavigationEntry("Counts", "counts", Right.VIEW_RECORDS),
    NavigationEntry("Brewing", "brewing", Right.VIEW_RECORDS),
    NavigationEntry("Dispatch", "dispatch", Right.VIEW_RECORDS),
    NavigationEntry("Customers", "customers", Right.VIEW_RECORDS),
    NavigationEntry("Cellar", "cellar", Right.VIEW_RECORDS),
    NavigationEntry("Yeast", "yeast", Right.VIEW_RECORDS),
    NavigationEntry("Packaging", "packaging", Right.VIEW_RECORDS),
    NavigationEntry("Quality", "quality", Right.VIEW_RECORDS),
    NavigationEntry("Materials", "materials", Right.VIEW_RECORDS),
    NavigationEntry("Trade items", "trade-items", Right.KEEP_REGISTERS),
)


def entries_for(user: User, path: str, navigation: Sequence[NavigationEntry] = NAVIGATION) -> list[ShownEntry]:
    """Return the entries that `user` has the right to; the one that `path` lies under is the current one."""
    hrefs = {entry: reverse(entry.url_name) for entry in navigation if user.has_right(entry.right)}
    current = max((href for href in hrefs.values() if lies_under(path, href)), key=len, default=None)
    return [ShownEntry(entry.label, href, href == current) for entry, href in hrefs.items()]


def lies_under(path: str, href: str) -> bool:
    """Return whether `path` is the page at `href` or one below it; nothing counts as below the start page."""
    return path == href or (href != "/" and path.startswith(href.rstrip("/") + "/"))
