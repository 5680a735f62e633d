"""Why a brew sheet is not written, not changed, not put in use, or not brewed by."""

from brewery.kernel.errors import DomainError, SeveralFaults


class SheetChangedMeanwhile(DomainError):
    code = "changed_meanwhile"
    status = 412
    title = "Somebody changed it meanwhile."
    template = "{sheet} is at revision {revision} since {moment}, by {person}; you looked at revision {seen}."
    advice = "Look at it as it is now, and change it again if need be."


class SheetDraftThere(DomainError):
    code = "sheet_draft_there"
    title = "There is a draft already."
    template = "{person} is writing {sheet}, a draft since {moment}."
    advice = "Change that draft, put it in use, or discard it first."


class SheetNoDraft(DomainError):
    code = "sheet_no_draft"
    title = "Only a draft is changed."
    template = "{sheet} is {state} since {moment}, so it stays as it is."
    advice = "Write a new version of it."


class SheetNotInUse(DomainError):
    code = "sheet_not_in_use"
    title = "The sheet is not in use."
    template = "{sheet} is {state}."
    advice = "Put it in use first, or take the version that is in use."


class SheetWithdrawn(DomainError):
    code = "sheet_withdrawn"
    title = "The sheet is withdrawn already."
    template = "{sheet} is withdrawn."
    advice = "Write a new version of it, if it is to be brewed again."


class SheetStillPlanned(DomainError):
    code = "sheet_still_planned"
    title = "Brews are planned by the sheet."
    template = "{plans} planned by {sheet}."
    advice = "Call those brews off, or plan them by another version, first."


class SheetOfAnotherBeer(DomainError):
    code = "sheet_of_another_beer"
    status = 400
    title = "The sheet is of another beer."
    template = "{sheet} is not of {beer}."
    advice = "Take a sheet of this beer, or brew the other one."


class SheetFaults(SeveralFaults):
    code = "invalid_input"
    status = 400
    title = "Some of the sheet cannot be."
    template = "There are {count} things to put right on the sheet."


class SheetNotComplete(SeveralFaults):
    code = "sheet_not_complete"
    title = "The sheet cannot be brewed by yet."
    template = "{sheet} cannot be put in use yet: {count} things are missing."


class MissingOnSheet(DomainError):
    code = "missing"
    title = "Something is missing."
    template = "{what} is missing."
    advice = "Without it nobody can brew by the sheet."
