"""Why production refuses: one class for each reason, and the sentence it says."""

from brewery.kernel.errors import DomainError


class AlreadyKnockedOut(DomainError):
    code = "already_knocked_out"
    title = "The brew is knocked out already."
    template = "Brew {brew} was knocked out at {moment}."
    advice = "Start another brew, or reverse the knock-out first."


class NotKnockedOut(DomainError):
    code = "not_knocked_out"
    title = "The brew is not knocked out."
    template = "Brew {brew} is under way: there is no knock-out to undo."
    advice = "Look at the brew again: somebody may have undone it already."


class AlreadyPackaged(DomainError):
    code = "already_packaged"
    title = "The packaging run is closed already."
    template = "Packaging run {run} was filled at {moment}."
    advice = "Start another run, or reverse the packaging first."


class NothingFilled(DomainError):
    code = "nothing_filled"
    title = "Nothing was filled."
    template = "Packaging run {run} has filled nothing: there is no fill to undo."
    advice = "Look at the run again: somebody may have undone it already."


class MoreThanLiesInTheRun(DomainError):
    code = "more_than_lies_in_the_run"
    title = "Less lies in the packaging run."
    template = "{run} holds {held} of lot {lot}; {asked} was said to be used or wasted."
    advice = "Draw what is missing, or correct the quantity."


class LessLeftTheTanks(DomainError):
    code = "less_left_the_tanks"
    title = "The gauges do not fit the counts."
    template = "By the gauges {left} left the tanks; packages, rejects and losses make {needed}."
    advice = "Read the gauges and counts again, or leave the gauges out and correct the tank by a count."


class GaugeAboveTheBook(DomainError):
    code = "gauge_above_the_book"
    title = "The gauge says more than the book."
    template = "The gauge of {vessel} says {gauge} at the start; the book says {held} of lot {lot}."
    advice = "Read it again; or say why, and the book is put right by the gauge."


class NoCodeLeft(DomainError):
    code = "no_code_left"
    title = "The rule gives no code."
    template = "The rule for {material} gives no code of {longest} characters at most: {code} is next."
    advice = "Type a code, or set a shorter pattern."


class SampleIsGone(DomainError):
    code = "sample_is_gone"
    title = "The sample is kept no longer."
    template = "The retained sample of lot {lot} was thrown away or recorded by mistake."
    advice = "Look at the list again."


class NothingDrawn(DomainError):
    code = "nothing_drawn"
    title = "Nothing was drawn."
    template = "Nothing lies in {work}, so nothing can be made of it."
    advice = "Draw its ingredients first."


class ContentsCodeMissing(DomainError):
    code = "contents_code_missing"
    status = 400
    title = "The new contents need a code."
    template = "{vessel} holds lot {held_lot}: what comes in makes new contents of it."
    advice = "Give the code of the new contents."


class MoreThanTheTankHolds(DomainError):
    code = "more_than_the_tank_holds"
    title = "The tank holds less."
    template = "{vessel} holds {held} of lot {lot}; {asked} was asked for, losses included."
    advice = "Gauge the tank, or correct the quantity."


class NoYeastInIt(DomainError):
    code = "no_yeast_in_it"
    title = "There is no yeast in it."
    template = "Lot {lot} in {vessel} was never pitched, so no yeast can be harvested from it."
    advice = "Look up the tank that was meant."
