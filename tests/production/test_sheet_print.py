"""The printed brew sheet: all that it says stands on paper, the same each time, and words are never markup."""

import re
import zlib

from brewery.production.printing.sheets import data_of, figure_words, sheet_as_pdf, sheet_as_png
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_view import SheetView, view_of
from tests.brewhouse import START, Brewhouse, micro
from tests.inventory.laboratory import Laboratory
from tests.production.sheets import draft, fresh, in_use
from tests.standing import built_once


@built_once
def view(brewhouse: Brewhouse) -> SheetView:
    brewhouse.stock_up()
    Laboratory(brewhouse).enter("H1", number="C3", values={"alpha": "3.4"})
    return view_of(fresh(in_use(brewhouse)), START.date(), micro("60 hL"))


def pages_of(pdf: bytes) -> int:
    """Return how many pages the PDF says it has (ISO 32000-1, page tree)."""
    plain = pdf + b"".join(
        zlib.decompressobj().decompress(part)
        for part in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.S)
        if part[:1] == b"x"
    )
    return max(int(count) for count in re.findall(rb"/Count (\d+)", plain))


def test_everything_to_weigh_and_to_do_stands_on_it_for_the_length(view: SheetView):
    data = data_of(view)
    assert (data["title"], data["state"], data["day"]) == ("Quillmere Lager, version 1", "in use", "2026-03-02")
    assert ["Cold wort", "60 hL"] in data["head"]
    assert [line[:2] for line in data["grains"]] == [["Pilsner malt", "90 %"], ["Munich malt", "10 %"]]
    assert data["salts"] == [["Gypsum, mash liquor", "0.8 kg"]]
    assert data["mash"][2] == ["draw off 33 %", "63 °C", "5 min"]
    assert data["hops"][0][:3] == ["Saaz, boil", "60 min", "14.706 kg"]
    assert "lot H1 (3.4 % by certificate C3" in data["hops"][0][3]
    assert data["cellar"][0] == ["fermentation", "9 °C, 8 d"]
    assert "Kettle full, Volume L" in data["readings"]


def test_the_same_sheet_is_the_same_bytes_and_a_whole_pdf(view: SheetView):
    pdf = sheet_as_pdf(view)
    assert pdf.startswith(b"%PDF-")
    assert pdf == sheet_as_pdf(view)
    assert pages_of(pdf) == len(sheet_as_png(view))


def test_a_sheet_without_lines_is_printed_too(brewhouse: Brewhouse):
    bare = draft(
        brewhouse,
        grains=(),
        hops=(),
        salts=(),
        ions=(),
        mash_steps=(),
        cellar_steps=(),
        formats=(),
        note="",
        liquor=None,
    )
    assert sheet_as_pdf(view_of(fresh(bare), START.date())).startswith(b"%PDF-")


def test_what_people_typed_is_never_markup(brewhouse: Brewhouse):
    wild = draft(brewhouse, note='#panic("x") *bold* $x$ <y> @z \\ "quoted"')
    assert sheet_as_pdf(view_of(fresh(wild), START.date())).startswith(b"%PDF-")


def test_a_figure_shows_its_interval_or_that_it_is_not_known():
    assert figure_words(Prediction("b", "Bitterness", "BU", 25.93, "", 20.1, 31.8)) == "25.93 BU (20.1 to 31.8)"
    assert figure_words(Prediction("g", "Gravity", "°P", 12.0, "")) == "12 °P"
    assert figure_words(Prediction("g", "Gravity", "°P", None, "why")) == "not known"
