"""The frame of every page: what a strict content policy, a keyboard and a reader aloud ask of it."""

import hashlib
import re
from html.parser import HTMLParser

import pytest
from django import forms
from django.conf import settings
from django.template.loader import render_to_string
from django.test import Client

from brewery.kernel.pages.facts import Fact
from tests.brewhouse import Brewhouse, person

STATIC = settings.PROJECT_DIR / "static"


class Elements(HTMLParser):
    """The elements of a page, in order, with their attributes; and what stands inside scripts and styles."""

    def __init__(self, html: str) -> None:
        super().__init__()
        self.found: list[tuple[str, dict[str, str | None]]] = []
        self.inline: list[str] = []
        self._within = ""
        self.feed(html)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.append((tag, dict(attrs)))
        self._within = tag

    def handle_data(self, data: str) -> None:
        if self._within in ("script", "style") and data.strip():
            self.inline.append(data)

    def of(self, tag: str) -> list[dict[str, str | None]]:
        return [attributes for name, attributes in self.found if name == tag]


@pytest.fixture
def brewer(client: Client, brewhouse: Brewhouse) -> Client:
    """A brewer who is signed in, in a brewery that has gone from delivery to a customer's return."""
    brewhouse.whole_chain()
    client.force_login(brewhouse.people["brewing"])
    return client


def pages(client: Client, house: Brewhouse) -> dict[str, str]:
    lot = house.lot("BB1").pk
    addresses = ["/", "/lots/", "/lots/?q=K", f"/lots/{lot}/", "/sign-in/"]
    return {address: client.get(address).content.decode() for address in addresses}


def test_no_page_has_an_inline_script_style_or_handler(brewer, brewhouse):
    for address, html in pages(brewer, brewhouse).items():
        page = Elements(html)
        attributes = {name for _, given in page.found for name in given}
        assert page.inline == [], address
        assert "style" not in attributes, address
        assert not [name for name in attributes if name.startswith("on")], address


def test_every_page_has_a_title_one_heading_and_one_main_part(brewer, brewhouse):
    for address, html in pages(brewer, brewhouse).items():
        page = Elements(html)
        assert re.search(r"<title>\S[^<]* · Grainward</title>", html), address
        assert (len(page.of("h1")), len(page.of("main"))) == (1, 1), address


def test_no_page_uses_an_id_twice(brewer, brewhouse):
    for address, html in pages(brewer, brewhouse).items():
        ids = [given["id"] for _, given in Elements(html).found if "id" in given]
        assert len(ids) == len(set(ids)), address


def test_the_first_thing_that_the_keyboard_reaches_skips_to_the_content(brewer):
    page = Elements(brewer.get("/").content.decode())
    assert page.of("a")[0]["href"] == "#content"
    assert page.of("main")[0]["id"] == "content"


def test_every_table_scrolls_in_a_box_that_the_keyboard_reaches(brewer, brewhouse):
    for address, html in pages(brewer, brewhouse).items():
        page = Elements(html)
        boxes = [given for given in page.of("div") if given.get("role") == "region"]
        assert all(box["tabindex"] == "0" and box["aria-label"] for box in boxes), address
        assert len(boxes) == len(page.of("table")) + html.count("<svg xmlns"), address


def test_a_lot_is_drawn_and_told_and_listed(brewer, brewhouse):
    html = brewer.get(f"/lots/{brewhouse.lot('W1').pk}/").content.decode()
    page = Elements(html)
    drawn = {given["data-node"] for _, given in page.found if "data-node" in given}
    linked = {given["href"] for given in page.of("a") if given.get("class") == "code"}
    assert str(brewhouse.lot("M1").pk) in drawn
    assert str(brewhouse.lot("KEG1").pk) in drawn
    assert {f"/lots/{node}/" for node in drawn} == linked | {f"/lots/{brewhouse.lot('W1').pk}/"}
    assert "M1, Pilsner malt" in html


def test_an_address_that_names_nothing_is_answered_with_our_own_page(client, db):
    answer = client.get("/lots/of/nothing")
    assert answer.status_code == 404
    assert "There is no such page" in answer.content.decode()


def test_somebody_without_a_role_is_told_so(client, db):
    client.force_login(person("guest"))
    answer = client.get("/")
    assert answer.status_code == 403
    assert "not for your role" in answer.content.decode()


@pytest.mark.parametrize("name", ["400.html", "403_csrf.html", "500.html"])
def test_the_pages_of_faults_need_neither_a_request_nor_the_database(name):
    assert "· Grainward</title>" in render_to_string(name)


def test_a_wrong_password_is_told_aloud(client, db):
    person("joss", "brewing")
    page = Elements(client.post("/sign-in/", {"username": "joss", "password": "wrong"}).content.decode())
    assert [given for given in page.of("div") if given.get("role") == "alert"]


class Weighing(forms.Form):
    """A form with all that a field may have."""

    gross_kg = forms.DecimalField(label="Gross", help_text="As the scale shows it.")
    note = forms.CharField(label="Note", required=False)
    bays = forms.MultipleChoiceField(
        label="Bays", choices=[("a", "A")], widget=forms.CheckboxSelectMultiple, help_text="All that fit."
    )


def test_a_field_names_its_hint_and_its_fault():
    html = render_to_string("shell/form.html", {"form": Weighing({"gross_kg": "much"}), "submit": "Weigh"})
    page = Elements(html)
    field = next(given for given in page.of("input") if given.get("name") == "gross_kg")
    ids = {given["id"] for _, given in page.found if "id" in given}
    assert field["aria-invalid"] == "true"
    assert set(field["aria-describedby"].split()) == {"id_gross_kg_helptext", "id_gross_kg_error"} <= ids
    assert set(page.of("fieldset")[0]["aria-describedby"].split()) == {"id_bays_helptext", "id_bays_error"} <= ids
    assert html.count("(optional)") == 1


def test_a_fact_that_is_not_known_is_said_to_be_unknown():
    html = render_to_string("shell/facts.html", {"facts": [Fact("Supplier", "<Malt & Co>", "/s/1"), Fact("Note", "")]})
    assert '<a href="/s/1">&lt;Malt &amp; Co&gt;</a>' in html
    assert "not given" in html


DISPOSITIONS = ("released", "quarantined", "on_hold", "rejected")


@pytest.mark.parametrize("disposition", DISPOSITIONS)
def test_a_disposition_is_told_in_words(disposition):
    html = render_to_string("shell/disposition.html", {"disposition": disposition})
    assert re.sub(r"<[^>]*>", "", html).strip() == disposition.replace("_", " ")


def test_every_disposition_has_a_shape_of_its_own():
    shapes = {render_to_string("shell/shape.html", {"shape": one}) for one in (*DISPOSITIONS, "info", "caution")}
    assert len(shapes) == len(DISPOSITIONS) + 2


def test_vendored_files_are_those_that_were_published():
    folder = STATIC / "vendor/pico-2.1.1"
    for line in (folder / "SHA256SUMS").read_text().splitlines():
        digest, name = line.split()
        assert hashlib.sha256((folder / name).read_bytes()).hexdigest() == digest


def test_no_style_sheet_or_script_reaches_for_another_host():
    for path in [*STATIC.rglob("*.css"), *STATIC.rglob("*.js")]:
        assert not re.search(r"(url\(|@import|fetch\()\s*['\"]?(https?:)?//", path.read_text()), path.name
