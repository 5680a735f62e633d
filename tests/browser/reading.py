"""What a lot's page says, read in the browser as a person would."""

from playwright.sync_api import Page


def lots_in_table(page: Page, way: str) -> set[str]:
    """The codes in the table of one direction, "back" or "forward"."""
    return set(page.locator(f"section:has(#trace-{way}) table a.code").all_inner_texts())


def lots_in_drawing(page: Page, way: str) -> set[str]:
    """The codes on the boxes of one direction, but for the lot asked for."""
    return set(page.locator(f"section:has(#trace-{way}) .trace-node:not(.is-subject) .trace-code").all_text_contents())


def lots_in_text(page: Page, way: str) -> str:
    """The text alternative of one direction, opened as a person opens it."""
    section = page.locator(f"section:has(#trace-{way})")
    section.get_by_text("The same as text", exact=True).click()
    return section.locator("pre").inner_text()
