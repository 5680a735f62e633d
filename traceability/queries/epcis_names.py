"""What lots, places, partners and papers are called in EPCIS: GS1 keys where there are any, else URIs of our own.

A lot is a Digital Link of GTIN and lot where it is packaged beer of one GTIN a package under the brewery's own company
prefix. Raw materials and beer in tanks have no GTIN of ours, and a supplier's GTIN goes with the supplier's lot, not
with our code: so these are URIs of our own, which CBV 2.0 (section 8.1) allows. No GS1 key is made up.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from urllib.parse import quote, unquote

from django.conf import settings
from django.db.models import Q

from brewery.science.gs1 import CSET_82, gln
from brewery.science.units import MICRO
from inventory.models import Location, Lot, Material, Party, TradeItem
from traceability.epcis.identifiers import Link, link_of

LONGEST_EXTENSION = 20
_NO_PLACES = frozenset({Location.Kind.PROCESS, Location.Kind.PALLET, *Location.BOUNDARIES})


@dataclass(frozen=True)
class Names:
    """Names for everything, by the settings and the trade items as they are now."""

    base: str = field(default_factory=lambda: settings.BREWERY_URI)
    prefix: str = field(default_factory=lambda: settings.GS1_COMPANY_PREFIX)

    @property
    def site(self) -> str:
        """The brewery as a place."""
        return Link("414", gln(self.prefix)).uri

    @property
    def brewery(self) -> str:
        """The brewery as a party."""
        return Link("417", gln(self.prefix)).uri

    @cached_property
    def gtins(self) -> dict[int, str]:
        """The GTIN of one package, by packaged material; the first where there are several."""
        items = TradeItem.objects.filter(material__kind=Material.Kind.PACKAGED, content_micro=MICRO).order_by("-gtin")
        return {item.material_id: item.gtin for item in items if item.gtin[1:].startswith(self.prefix)}

    def lot(self, lot: Lot) -> str:
        """Return the lot as a class of things."""
        gtin = self.gtins.get(lot.material_id)
        return Link("01", gtin, "10", lot.code).uri if gtin else self.own("lot", lot.code)

    def pallet(self, sscc: str) -> str:
        """Return the pallet."""
        return Link("00", sscc).uri

    def place(self, location: Location) -> str:
        """Return the place as an extension of the brewery's GLN; the brewery itself for what is no place."""
        if location.kind in _NO_PLACES:
            return self.site
        fits = len(location.code) <= LONGEST_EXTENSION and all(CSET_82.fullmatch(sign) for sign in location.code)
        return Link("414", gln(self.prefix), "254", location.code).uri if fits else self.own("place", location.code)

    def party(self, party: Party) -> str:
        """Return a supplier or a customer."""
        return self.own("party", party.code)

    def own(self, *steps: str) -> str:
        """Return a URI of the brewery's own."""
        return "/".join((self.base, *(quote(step, safe="") for step in steps)))

    def lots_named(self, uris: Iterable[str]) -> Q:
        """Return the condition on lots that any of the URIs names them; a GTIN alone names all its lots."""
        found = Q(pk=None)
        own = self.own("lot", "")
        for uri in uris:
            link = link_of(uri)
            if link and link.key == "01":
                materials = [material for material, gtin in self.gtins.items() if gtin == link.value]
                code = {"code": link.narrowed} if link.qualifier == "10" else {}
                if link.qualifier in ("", "10"):
                    found |= Q(material__in=materials, **code)
            elif uri.startswith(own):
                found |= Q(code=unquote(uri.removeprefix(own))) & ~Q(material__in=self.gtins)
        return found
