"""A brew sheet as somebody brews by it: for a length and a day, with what everything weighs and what to expect."""

from dataclasses import dataclass
from datetime import date

from brewery.production.models import BrewSheet
from brewery.production.queries.hop_doses import HopDose, doses_of
from brewery.production.queries.own_bitterness import own_ratio
from brewery.production.queries.sheet_contents import GrainLine, SheetContent, content_of
from brewery.production.queries.sheet_doubts import Doubt, doubts_of
from brewery.production.queries.sheet_figures import Prediction
from brewery.production.queries.sheet_predictions import predictions_of
from brewery.production.queries.sheet_scaling import grain_micro, scaled
from brewery.production.queries.sheet_stock import stock_for


@dataclass(frozen=True)
class WeighedGrain:
    """One grain with what it weighs, in milligrams."""

    line: GrainLine
    weight_micro: int


@dataclass(frozen=True)
class SheetView:
    """The sheet, what it says for the length, and what the stock of the day makes of it."""

    sheet: BrewSheet
    day: date
    content: SheetContent
    grains: list[WeighedGrain]
    doses: list[HopDose]
    predictions: list[Prediction]
    doubts: list[Doubt]


def view_of(sheet: BrewSheet, day: date, cold_wort_micro: int | None = None) -> SheetView:
    """Return the sheet for so much cold wort, or for its own length. It comes from `sheets_in_full`."""
    written = content_of(sheet)
    content = written if cold_wort_micro is None else scaled(written, cold_wort_micro)
    stock = stock_for(content, day)
    predictions = predictions_of(content, stock, own_ratio(sheet.beer))
    grains = [WeighedGrain(*pair) for pair in zip(content.grains, grain_micro(content), strict=True)]
    return SheetView(
        sheet, day, content, grains, doses_of(content.hops, stock), predictions, doubts_of(content, stock, predictions)
    )
