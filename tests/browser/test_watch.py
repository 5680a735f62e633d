"""The browser tests themselves: a fault on a page is noticed, whatever the test was looking for."""

import pytest

pytestmark = pytest.mark.browser

SCRIPT = "const made = document.createElement('script'); made.textContent = '1'; document.body.append(made)"


def test_whatever_a_page_does_wrong_is_noticed(complaints, go):
    page = go("/sign-in/")
    assert complaints == []
    page.evaluate("console.error('burnt')")
    page.evaluate("setTimeout(() => { throw new Error('scorched') })")
    page.evaluate(SCRIPT)
    page.evaluate("fetch('/healthz/of/nothing')")
    page.evaluate("fetch('http://192.0.2.1/').catch(() => 'refused')")
    page.wait_for_function("true")
    seen = "\n".join(complaints)
    complaints.clear()
    for fault in ("burnt", "scorched", "Content Security Policy", "answer: 404"):
        assert fault in seen
