"""The scanner page: what a code is, and what can be done with it."""

from dataclasses import dataclass, field
from typing import Any, ClassVar, cast

from django import forms
from django.urls import reverse
from django.utils.http import urlencode

from brewery.kernel.access import Right
from brewery.kernel.models import User
from brewery.kernel.pages.access import Page
from brewery.kernel.pages.facts import Fact
from brewery.kernel.templatetags.shell import day_text, quantity
from inventory.models import Balance, Location, LogisticUnit, Lot
from inventory.pages.choices import offers
from inventory.pages.pallets.forms import MoveForm
from inventory.pages.scanned import SCANNER
from inventory.queries.lots import lots_of_label
from inventory.queries.pallets import pallet_of, with_contents
from inventory.services.scan_refusals import UnknownGtin, UnreadableScan
from inventory.services.scans import LONGEST_SCAN, Scan, read_scan


@dataclass
class Shown:
    """What a scan is, in words: facts, ways to go on, and the pallet that may be moved at once."""

    heading: str
    facts: list[Fact] = field(default_factory=list)
    actions: list[dict[str, str]] = field(default_factory=list)
    pallet: LogisticUnit | None = None

    def offer(self, label: str, url_name: str, *args: Any, **query: str) -> None:
        """Offer a page to go on to."""
        asked = f"?{urlencode(query)}" if query else ""
        self.actions.append({"label": label, "href": reverse(url_name, args=args) + asked})


class ScanForm(forms.Form):
    """What the scanner typed."""

    text = forms.CharField(
        label="Scan a label, or type a code",
        max_length=LONGEST_SCAN,
        widget=forms.TextInput(attrs={**SCANNER, "autofocus": True, "enterkeyhint": "go"}),
    )


class ScanPage(Page):
    """Shows what was scanned; it records nothing, so it asks by GET."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    template_name = "inventory/scan.html"

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        shown, refusals = self._read() if "text" in self.request.GET else (None, [])
        may_move = shown is not None and shown.pallet is not None and self._person.has_right(Right.MOVE_STOCK)
        form = ScanForm()
        if may_move:
            del form.fields["text"].widget.attrs["autofocus"]
        return super().get_context_data(
            form=form,
            shown=shown,
            refusals=refusals,
            move_form=_move_form() if may_move else None,
            offers=offers("stores") if may_move else [],
            **kwargs,
        )

    def _read(self) -> tuple[Shown | None, list[str]]:
        """Return what was scanned, and why it cannot be trusted; of an unknown GTIN both."""
        form = ScanForm(self.request.GET)
        if not form.is_valid():
            return None, [str(fault) for fault in form.errors["text"]]
        try:
            return shown_scan(read_scan(form.cleaned_data["text"]), self._person), []
        except UnknownGtin as unknown:
            return _unknown(str(unknown.facts["gtin"]), self._person), [str(unknown)]
        except UnreadableScan as refused:
            return None, [str(refused)]

    @property
    def _person(self) -> User:
        return cast(User, self.request.user)


def _move_form() -> MoveForm:
    form = MoveForm(auto_id="move_form_%s")
    form.fields["to_location"].widget.attrs["autofocus"] = True
    return form


def _unknown(gtin: str, person: User) -> Shown:
    shown = Shown("A trade item that is not entered", [Fact("GTIN", gtin)])
    if person.has_right(Right.KEEP_REGISTERS):
        shown.offer("Enter it among the trade items", "new-trade-item", gtin=gtin)
    return shown


def shown_scan(scan: Scan, person: User) -> Shown:
    """Return what a scan is and what this person can do with it."""
    unit = pallet_of(scan.sscc) if scan.sscc else None
    if scan.own_lot:
        shown = _own_lot(scan.own_lot)
    elif unit:
        shown = _pallet(unit)
    elif scan.location:
        shown = _place(scan.location)
    else:
        shown = _goods(scan, person)
    shown.facts += said_by(scan)
    return shown


def _own_lot(lot: Lot) -> Shown:
    shown = Shown(f"Lot {lot.code}")
    shown.facts.append(Fact("Disposition", lot.get_disposition_display()))
    shown.offer("Show the lot", "lot", lot.pk)
    shown.offer("Print its label", "lot-label", lot.pk)
    return shown


def _pallet(unit: LogisticUnit) -> Shown:
    (pallet,) = with_contents([unit])
    shown = Shown(unit.location.name, pallet=unit)
    shown.facts.append(Fact("It stands in", unit.stands_in.name, reverse("place", args=[unit.stands_in_id])))
    shown.facts += [_held(balance) for balance in pallet.contents]
    shown.offer("Show the pallet", "pallet", unit.sscc)
    shown.offer("Print its label", "pallet-label", unit.sscc)
    return shown


def _held(balance: Balance) -> Fact:
    lot = balance.lot
    held = quantity(balance.quantity_micro, lot.material.base_unit)
    return Fact(f"Lot {lot.code}", f"{held} {lot.material.name}", reverse("lot", args=[lot.pk]))


def _place(place: Location) -> Shown:
    shown = Shown(place.name)
    shown.facts += [Fact("Code", place.code), Fact("Kind", place.get_kind_display())]
    shown.offer("Show what lies there", "place", place.pk)
    if place.kind in Location.ENTERED:
        shown.offer("Print its label", "place-label", place.pk)
    return shown


def _goods(scan: Scan, person: User) -> Shown:
    """Return what a supplier's label says: goods, or a pallet that is not on record."""
    if scan.trade_item:
        shown = Shown(scan.trade_item.name or scan.trade_item.material.name)
        shown.offer("Show its stock", "stock-material", scan.trade_item.material_id)
    elif scan.sscc:
        shown = Shown("A pallet that is not on record")
        if person.has_right(Right.MOVE_STOCK):
            shown.offer("Put it on record", "new-pallet", sscc=scan.sscc)
    else:
        shown = Shown("A label of somebody else")
    if (scan.trade_item or scan.sscc) and person.has_right(Right.RECEIVE):
        shown.offer("Receive a delivery", "receiving")
    if scan.material and scan.lot:
        lots = lots_of_label(scan.material, scan.lot)
        shown.facts += [Fact("Our lot", lot.code, reverse("lot", args=[lot.pk])) for lot in lots]
    return shown


def said_by(scan: Scan) -> list[Fact]:
    """Return all that the label says, label by label."""
    material = scan.material
    unit = material.base_unit if material else ""
    told = [
        ("Material", material.name if material else ""),
        ("GTIN", scan.gtin),
        ("Lot on the label", scan.lot),
        ("Best before", scan.best_before and day_text(scan.best_before)),
        ("Made on", scan.made_on and day_text(scan.made_on)),
        ("Packed on", scan.packed_on and day_text(scan.packed_on)),
        ("Net", "" if scan.net_micro is None else quantity(scan.net_micro, unit)),
        ("Count", str(scan.count or "")),
        ("In all", "" if scan.quantity_micro is None else quantity(scan.quantity_micro, unit)),
        ("SSCC", scan.sscc),
        ("Serial number", scan.serial),
    ]
    return [Fact(label, text) for label, text in told if text]
