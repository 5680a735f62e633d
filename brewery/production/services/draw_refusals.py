"""Why a lot is not drawn, or not so much of it: one class for each reason, and the sentence it says."""

from brewery.kernel.errors import DomainError
from inventory.services.refusals import BY_OVERRIDE


class BestBeforeOver(DomainError):
    code = "best_before_over"
    title = "The lot is past its best-before day."
    template = "Lot {lot} was best before {best_before}, and it is drawn on {day}."
    advice = f"Take another lot, {BY_OVERRIDE}."


class YeastTooOld(DomainError):
    code = "yeast_too_old"
    title = "The yeast is too old in generation."
    template = "Lot {lot} is of generation {generation}; here {most} is the last that is used."
    advice = f"Take younger yeast, {BY_OVERRIDE}."


class ViabilityTooLow(DomainError):
    code = "viability_too_low"
    title = "Too little of the yeast is alive."
    template = "Of lot {lot}, {viability} % is alive {why}; {least} % is the least."
    advice = f"Take fresher yeast, {BY_OVERRIDE}."


class StoredTooLong(DomainError):
    code = "stored_too_long"
    title = "The yeast has been stored too long."
    template = "Lot {lot} was harvested {days} days before; here {most} days are the most that a crop is stored."
    advice = f"Take a fresher crop, {BY_OVERRIDE}."


class NotOnTheSheet(DomainError):
    code = "not_on_the_sheet"
    title = "The sheet does not ask for it."
    template = "{material} (lot {lot}) is not on {sheet}, by which {brew} is brewed."
    advice = "Say in place of what it is drawn, and why."


class MoreThanTheSheetAsks(DomainError):
    code = "more_than_the_sheet_asks"
    title = "That is more than the sheet asks for."
    template = "Of {material} the sheet asks for {asked}; with this {drawn} would be drawn, {off} % more."
    advice = "Draw less, or say why."


class LessThanTheSheetAsks(DomainError):
    code = "less_than_the_sheet_asks"
    title = "That is less than the sheet asks for."
    template = "Of {material} the sheet asks for {asked}; with this {drawn} are drawn, {off} % less."
    advice = "Draw the rest, or say why that is all of it."


class StandsInForNothing(DomainError):
    code = "stands_in_for_nothing"
    status = 400
    title = "It stands in for nothing that is wanted."
    template = "{wanted} is not on the sheet of brew {brew}, or lot {lot} is not drawn here."
    advice = "Name a material of the sheet, and a lot of this draw."
