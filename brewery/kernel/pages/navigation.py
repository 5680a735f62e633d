"""The main navigation: groups of pages that people start from, in the order in which they are shown."""

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
    right: Right = Right.VIEW_RECORDS


@dataclass(frozen=True, slots=True)
class NavigationGroup:
    """Pages of one kind of work; its own link leads to the first of them."""

    label: str
    entries: tuple[NavigationEntry, ...]


@dataclass(frozen=True, slots=True)
class ShownEntry:
    """One link as somebody is shown it."""

    label: str
    href: str
    is_current: bool


@dataclass(frozen=True, slots=True)
class ShownGroup(ShownEntry):
    """One group as somebody is shown it: its link, and the links of its pages."""

    entries: tuple[ShownEntry, ...]


NAVIGATION: tuple[NavigationGroup, ...] = (
    NavigationGroup(
        "Stock",
        (
            NavigationEntry("Tanks and stores", "home"),
            NavigationEntry("Stock", "stock"),
            NavigationEntry("Lots", "lots"),
            NavigationEntry("How long it keeps", "keeping"),
            NavigationEntry("Climate", "climates"),
            NavigationEntry("Pallets", "pallets"),
            NavigationEntry("Counts", "counts"),
            NavigationEntry("Materials", "materials"),
            NavigationEntry("Trade items", "trade-items", Right.KEEP_REGISTERS),
        ),
    ),
    NavigationGroup(
        "Receiving",
        (
            NavigationEntry("Deliveries", "receiving"),
            NavigationEntry("To be ordered", "reordering"),
            NavigationEntry("Orders", "orders"),
        ),
    ),
    NavigationGroup(
        "Brewing",
        (
            NavigationEntry("Plan", "brewing"),
            NavigationEntry("Using up", "using-up"),
            NavigationEntry("Brews", "brews"),
            NavigationEntry("Brew sheets", "brew-sheets"),
            NavigationEntry("Consistency", "consistency"),
        ),
    ),
    NavigationGroup(
        "Cellar",
        (
            NavigationEntry("Vessels", "cellar"),
            NavigationEntry("Yeast", "yeast"),
        ),
    ),
    NavigationGroup(
        "Packaging",
        (
            NavigationEntry("Runs", "packaging"),
            NavigationEntry("Codes and best before", "packaging-rules"),
            NavigationEntry("Retained samples", "retained-samples"),
        ),
    ),
    NavigationGroup(
        "Dispatch",
        (
            NavigationEntry("Orders and shipments", "dispatch"),
            NavigationEntry("Returns", "customer-returns"),
            NavigationEntry("Customers", "customers"),
        ),
    ),
    NavigationGroup(
        "Quality",
        (
            NavigationEntry("To release", "quality"),
            NavigationEntry("Trace", "trace"),
            NavigationEntry("Common cause", "common-cause"),
            NavigationEntry("Holds", "holds"),
            NavigationEntry("Recalls", "recalls"),
            NavigationEntry("Certificates", "certificates"),
            NavigationEntry("Proof", "record-proof"),
        ),
    ),
    NavigationGroup("Accounts", (NavigationEntry("Usage", "usage"), NavigationEntry("Duty record", "duty"))),
    NavigationGroup(
        "Service",
        (
            NavigationEntry("Jobs", "jobs", Right.TEND_JOBS),
            NavigationEntry("Webhooks", "webhooks", Right.TEND_JOBS),
        ),
    ),
    NavigationGroup("Scan", (NavigationEntry("Scan", "scan"),)),
)


def entries_of(navigation: Sequence[NavigationGroup] = NAVIGATION) -> list[NavigationEntry]:
    """Return the entries of all groups."""
    return [entry for group in navigation for entry in group.entries]


def groups_for(user: User, path: str, navigation: Sequence[NavigationGroup] = NAVIGATION) -> list[ShownGroup]:
    """Return what `user` has the right to; the entry that `path` lies under is the current one, and its group."""
    hrefs = {entry: reverse(entry.url_name) for entry in entries_of(navigation) if user.has_right(entry.right)}
    current = max((href for href in hrefs.values() if lies_under(path, href)), key=len, default=None)
    shown = {entry: ShownEntry(entry.label, href, href == current) for entry, href in hrefs.items()}
    groups = [(group.label, tuple(shown[entry] for entry in group.entries if entry in shown)) for group in navigation]
    return [
        ShownGroup(label, entries[0].href, any(entry.is_current for entry in entries), entries)
        for label, entries in groups
        if entries
    ]


def lies_under(path: str, href: str) -> bool:
    """Return whether `path` is the page at `href` or one below it; nothing counts as below the start page."""
    return path == href or (href != "/" and path.startswith(href.rstrip("/") + "/"))
