"""Why a count sheet is refused."""

from brewery.kernel.errors import DomainError


class CountUnderWay(DomainError):
    code = "count_under_way"
    title = "It is being counted already."
    template = "{what} is being counted since {moment}."
    advice = "Go on with that sheet, or discard it first."


class SheetNotInState(DomainError):
    code = "sheet_not_in_state"
    title = "The count is past that."
    template = "Count {sheet} is {state}; this needs one that is {wanted}."
    advice = "Look the count up, and see what has been done meanwhile."


class NotOnThisSheet(DomainError):
    code = "not_on_this_sheet"
    status = 400
    title = "The sheet counts another material."
    template = "Lot {lot} is of {other}; this sheet counts {material}."
    advice = "Note it on a sheet of its place."


class CountedElsewhere(DomainError):
    code = "counted_elsewhere"
    status = 400
    title = "The sheet counts another place."
    template = "This sheet counts {place}, and not {location}."
    advice = "Note it on a sheet of that place."


class NotAllCounted(DomainError):
    code = "not_all_counted"
    title = "Not everything is counted."
    template = "{count} lines are still to be counted: {lots}."
    advice = "Count them; write 0 where nothing of a lot is there."


class CountedBySameHands(DomainError):
    code = "counted_by_same_hands"
    status = 403
    title = "Another person has to approve it."
    template = "{person} counted on this sheet, and the differences of {lots} are above their threshold."
    advice = "Ask somebody to approve it who did not count."
