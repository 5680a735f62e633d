"""Hands at the dock: a scanner, a scale and a keyboard. No mouse."""

from playwright.sync_api import Page, expect

from inventory.models import Delivery
from inventory.services.trade_items import add_trade_item
from tests.brewhouse import Brewhouse
from tests.inventory.dock import Dock

GTIN = "09521234543213"
SSCC = "095212345000000018"
"""Of GS1's own demonstration prefix 952; the check digits are tested with the arithmetic."""


def box(net_dag: int, lot: str = "SZ-25") -> str:
    """What a scanner types for one box of Saaz of so many hundredths of a kilogram, best before 31 January 2028."""
    return f"]C101{GTIN}152801313102{net_dag:06d}10{lot}"


def at_the_dock(house: Brewhouse, supplier: str = "HOPYARD") -> Delivery:
    """A delivery that lacks nothing but its lines."""
    add_trade_item(gtin=GTIN, material=house.material("SAAZ"), **house.by("administration"))
    return Dock(house).open(supplier)


class Hands:
    """Types on a page; `inputs` counts what was typed besides the scans."""

    def __init__(self, page: Page) -> None:
        self.page = page
        self.inputs = 0

    def scan(self, text: str) -> None:
        """The scanner types the barcode and Enter, wherever the focus is."""
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")

    def enter(self, text: str) -> None:
        """A person, or a scale, types a value and Enter."""
        self.inputs += 1
        self.scan(text)

    def tab_to(self, selector: str, most: int = 200) -> None:
        """Press Tab until that has the focus."""
        for _ in range(most):
            if self.page.evaluate("selector => document.activeElement.matches(selector)", selector):
                return
            self.page.keyboard.press("Tab")
        raise AssertionError(f"Tab never came to {selector}")

    def see_lines(self, count: int) -> None:
        """Wait until the page shows so many lines, and nothing is on its way."""
        expect(self.page.get_by_role("heading", name=f"Lines: {count}")).to_be_visible()
        expect(self.page.locator("#receiving.is-sending")).to_have_count(0)
