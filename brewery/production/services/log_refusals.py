"""Why a line is not written into a brew's log, or not corrected."""

from brewery.kernel.errors import DomainError


class BeforeTheBrew(DomainError):
    code = "before_the_brew"
    title = "The brew had not begun."
    template = "Brew {brew} began at {started_at}, after {moment}."
    advice = "Give the time at which it really happened."


class CorrectedAlready(DomainError):
    code = "corrected_already"
    title = "It was corrected already."
    template = "The line of {moment} was replaced by {person} at {corrected_at}: it says {now_says} now."
    advice = "Correct the line that took its place."
