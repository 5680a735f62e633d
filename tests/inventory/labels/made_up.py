"""Labels made up for tests: texts that hurt, in every size, and what a reader finds on them."""

import biip
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from zxingcpp import Barcode

from inventory.labels.printing import Label, labels_as_png
from inventory.labels.sizes import SIZES, Size
from tests.inventory.labels.pictures import barcodes_on

GLN = "9521234000006"
"""The first location number of the prefix that GS1 keeps for demonstrations."""

LONG_LOT = "BREW24-0117-ABCDEFGH"
LONG_NAME = "Žatecký poloraný červeňák, granulovaný ve vakuovém balení, sklizeň z Polepské blaty"
DOTS_OF_PRINTERS = (203.2, 300.0)
"""The resolutions of the label printers that are sold; 203 dpi is eight dots to the millimetre."""

LOT = Label(
    LONG_LOT,
    LONG_NAME,
    [("Best before", "not given"), ("Supplier", "Larkham Hop Yard"), ("Supplier's lot", "H-24/1")],
    [("414", GLN), ("91", LONG_LOT)],
)
PALLET = Label("095212345000000018", "Saaz", [("H1", "Saaz, 20 kg")], [("00", "095212345000000018")])
PLACE = Label("FV1", "Fermenter 1", [], [("414", GLN), ("254", "FV1")])
LABELS = {"lot": LOT, "pallet": PALLET, "place": PLACE}
LARGE = [size for size in SIZES.values() if not size.is_small]


def read_back(label: Label, size: Size, dpi: float = DOTS_OF_PRINTERS[0]) -> dict[str, str]:
    """Return what zxing reads on one printed label, by the symbology identifier of ISO/IEC 15424."""
    (page,) = labels_as_png([label], size, dpi=dpi)
    return {code.symbology_identifier: typed_by_a_gun(code) for code in barcodes_on(page)}


def typed_by_a_gun(code: Barcode) -> str:
    """Return what a scanner gun types: the symbology identifier, and the message with its separators."""
    return code.symbology_identifier + code.bytes.decode()


def elements_in(scan: str) -> list[tuple[str, str]]:
    """Return identifiers and values of a scanned message or link, as biip takes it apart."""
    symbology, content = scan[:3], scan[3:]
    found = GS1DigitalLinkURI.parse(content) if symbology == "]Q1" else biip.parse(scan).gs1_message
    assert found is not None
    return [(element.ai.ai, element.value) for element in found.element_strings]
