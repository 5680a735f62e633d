"""Why a reading of a tank is not taken down, or not corrected."""

from brewery.kernel.errors import DomainError, SeveralFaults


class NothingInItThen(DomainError):
    code = "nothing_in_it_then"
    title = "The tank held nothing then."
    template = "{vessel} held nothing at {moment}."
    advice = "Look up the tank and the time; what came in must be recorded before it is read."


class ReadAlready(DomainError):
    code = "read_already"
    title = "It was read already."
    template = "{label} of {vessel} at {moment} stands as {value}, read by {person}."
    advice = "Give the time of the new reading, or correct the old one."


class ReadingCorrectedAlready(DomainError):
    code = "reading_corrected_already"
    title = "It was corrected already."
    template = "The reading of {moment} was replaced by {person} at {corrected_at}: it says {now_says} now."
    advice = "Correct the reading that took its place."


class BadReadings(SeveralFaults):
    code = "bad_readings"
    title = "Some readings cannot be taken down."
    template = "Of {lines} readings, {count} cannot be taken down, so none was."
    advice = "Put them right and send all of them again."
