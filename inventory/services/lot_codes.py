"""Lot codes: what we propose for a new lot; whoever enters it may choose another.

The code says what it is and when it came: two letters for the kind of material, the day as YYMMDD, and a number of
that day. It fits AI (10) and can be read over a telephone.
"""

from collections.abc import Iterator, Mapping
from datetime import date
from itertools import count
from types import MappingProxyType

from inventory.models import DeliveryLine, Lot, Material

LETTERS: Mapping[str, str] = MappingProxyType(
    {
        Material.Kind.MALT: "MA",
        Material.Kind.ADJUNCT: "AD",
        Material.Kind.HOP: "HO",
        Material.Kind.YEAST: "YE",
        Material.Kind.WATER: "WA",
        Material.Kind.SALT: "SA",
        Material.Kind.FINING: "FI",
        Material.Kind.FILTER_AID: "FA",
        Material.Kind.PACKAGING: "PK",
        Material.Kind.WORT: "WO",
        Material.Kind.BEER: "BE",
        Material.Kind.PACKAGED: "PB",
    }
)
CONTENTS = "C"
"""Stands before the code of a silo's mixed contents."""


def propose_codes(kind: str, day: date, prefix: str = "") -> Iterator[str]:
    """Yield codes that no lot and no line of a draft bears, one after the other, within a transaction.

    Whoever asks for codes of the same kind waits until that transaction is over, so no code is proposed twice.
    """
    # One row stands for the kind; its key stays as it is, so lots of the material are made meanwhile.
    list(Material.objects.filter(kind=kind).order_by("pk").select_for_update(no_key=True)[:1])
    yield from free_codes(kind, day, prefix)


def free_codes(kind: str, day: date, prefix: str = "") -> Iterator[str]:
    """Yield codes that no lot bears now, for a form that is only shown: another may be quicker, and is told so."""
    stem = f"{prefix}{LETTERS[kind]}{day:%y%m%d}-"
    for number in count(_last_number(stem) + 1):
        yield f"{stem}{number:02d}"


def _last_number(stem: str) -> int:
    codes = {
        *Lot.objects.filter(code__startswith=stem).values_list("code", flat=True),
        *DeliveryLine.objects.filter(lot_code__startswith=stem).values_list("lot_code", flat=True),
        *DeliveryLine.objects.filter(contents_code__startswith=stem).values_list("contents_code", flat=True),
    }
    endings = (code.removeprefix(stem) for code in codes)
    return max((int(ending) for ending in endings if ending.isdecimal()), default=0)
