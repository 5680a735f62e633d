"""What the service tells of every material on hand: on its page, over the API, and in its files."""

import csv
import html
import io
import re

import openpyxl
from django.test import Client

from brewery.science.units import to_micro
from tests.fixtures.replay import SUPPLIER, Replay

COUNTED = ("store", "silo", "brink", "fermenter", "bright_tank")
ROW = re.compile(
    r'<span class="by quiet">(?P<code>[^<]+)</span>\s*</th>'
    r'\s*<td>[^<]*</td>\s*<td class="number">\d+</td>\s*<td class="number">(?P<on_hand>[^<]+)</td>'
)


def on_hand_by_the_files(book: Replay) -> dict[str, int]:
    """Return, by material, what came into the places that are counted less what left them, in micro-units."""
    counted = {code for code, row in book.locations.items() if row["kind"] in COUNTED}
    sums = dict.fromkeys(book.materials, 0)
    for posting in book.postings:
        came, went = posting.target in counted, posting.source in counted
        sums[book.lots[posting.lot].material] += (came - went) * posting.micro
    return sums


def received_by_the_files(book: Replay) -> dict[str, int]:
    """Return, by material, what suppliers brought, less what was reversed, in micro-units."""
    sums = dict.fromkeys(book.materials, 0)
    for posting in book.postings:
        sign = (posting.source == SUPPLIER) - (posting.target == SUPPLIER)
        sums[book.lots[posting.lot].material] += sign * posting.micro
    return sums


def on_the_page(client: Client) -> dict[str, int]:
    """Return what the page shows."""
    found = {}
    for number in (1, 2):
        page = html.unescape(client.get(f"/stock/?all=on&page={number}").content.decode())
        for row in ROW.finditer(page):
            amount, unit = row["on_hand"].replace("\u202f", "").split("\u00a0")
            found[row["code"]] = to_micro(amount, unit)
    return found


def in_the_api(client: Client) -> dict[str, int]:
    """Return what the API answers, page by page."""
    found: dict[str, int] = {}
    address = "/api/v1/stock/materials/?page_size=20"
    while address:
        answer = client.get(address).json()
        found |= {
            row["material"]: to_micro(row["on_hand"]["quantity"], row["on_hand"]["unit"]) for row in answer["results"]
        }
        address = answer["next"]
    return found


def in_the_csv(client: Client) -> dict[str, int]:
    """Return what the CSV file holds."""
    text = client.get("/stock/export/?view=stock&form=csv").content.decode()
    rows = csv.DictReader(io.StringIO(text, newline=""))
    return {row["material"]: to_micro(row["on_hand"], row["unit"]) for row in rows}


def in_the_workbook(client: Client) -> dict[str, int]:
    """Return what the workbook holds, by lot and place, added up."""
    content = client.get("/stock/export/?view=places&form=xlsx").content
    sheet = openpyxl.load_workbook(io.BytesIO(content)).active
    assert sheet is not None
    header, *rows = sheet.iter_rows(values_only=True)
    found: dict[str, int] = {}
    for row in rows:
        line = dict(zip(header, row, strict=True))
        found[str(line["material"])] = found.get(str(line["material"]), 0) + to_micro(
            str(line["quantity"]), str(line["unit"])
        )
    return found
