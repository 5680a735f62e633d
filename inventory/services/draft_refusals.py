"""Why a delivery is not changed or not booked."""

from brewery.kernel.errors import DomainError, SeveralFaults


class ChangedMeanwhile(DomainError):
    code = "changed_meanwhile"
    status = 412
    title = "Somebody changed it meanwhile."
    template = "Since you looked at {delivery}, {changes}."
    advice = "Look at it as it is now, and change it again if need be."


class DraftBooked(DomainError):
    code = "draft_booked"
    title = "The delivery is booked."
    template = "{person} booked {delivery} on {moment}."
    advice = "It stays as it is; a mistake is put right by reversing it."


class DraftDiscarded(DomainError):
    code = "draft_discarded"
    title = "The draft was discarded."
    template = "{person} discarded {delivery} on {moment}."
    advice = "Open a new delivery."


class LineGone(DomainError):
    code = "line_gone"
    status = 404
    title = "The line is not there."
    template = "{delivery} has no such line{removed}."
    advice = "Look at the delivery as it is now."


class NotBookable(SeveralFaults):
    code = "not_bookable"
    title = "The delivery cannot be booked yet."
    template = "{delivery} cannot be booked yet: {count} things are to be put right."


class Missing(DomainError):
    code = "missing"
    title = "Something is missing."
    template = "{what} is missing."
    advice = ""


class BeyondTolerance(DomainError):
    code = "beyond_tolerance"
    title = "It does not weigh what the note says."
    template = "{weighed} were weighed where the note says {noted}; {tolerance} % is let pass."
    advice = "Weigh it again, or say why it differs."


class NoteSeenBefore(DomainError):
    code = "note_seen_before"
    title = "This delivery note was received before."
    template = "Note {note} of {supplier} was received on {moment}, recorded by {person}."
    advice = "Confirm that this is another delivery, or discard this one."


class TooWarm(DomainError):
    code = "too_warm"
    title = "It arrived too warm."
    template = "{material} may arrive at {warmest} °C at most; it is {measured} °C."
    advice = "Say in the condition note what was done about it."


class TwoPlacesOnePallet(DomainError):
    code = "two_places_one_pallet"
    title = "A pallet stands in one place."
    template = "Pallet {sscc} is on line {line} too, which goes to {location}."
    advice = "Give both the same place."


class PalletKnown(DomainError):
    code = "pallet_known"
    title = "The pallet is on record already."
    template = "Pallet {sscc} is on record already; it stands in {location}{filled}."
    advice = "Check the number, or leave it empty."


class CodeTwice(DomainError):
    code = "code_twice"
    title = "Two lots cannot bear one code."
    template = "Lot code {lot} is on line {line} already."
    advice = "Choose another code."


class NothingInHand(DomainError):
    code = "nothing_in_hand"
    title = "There is no line that this could be said of."
    template = "You have entered no line of {delivery} yet that {said} could be said of."
    advice = "Scan the box first, then its weight or its place."


class OwnLotScanned(DomainError):
    code = "own_lot_scanned"
    title = "The lot is here already."
    template = "This is the label of our own lot {lot}, {material}: it is on record already."
    advice = "Scan the supplier's label; what comes back from a customer is recorded as a return."


class NothingToReceive(DomainError):
    code = "nothing_to_receive"
    title = "The label does not say what it is."
    template = "The label of {text!r} names neither a material, nor a pallet, nor a place."
    advice = "Scan the other barcode of the label, or choose the material by hand."


class PalletOnLine(DomainError):
    code = "pallet_on_line"
    title = "The pallet was scanned before."
    template = "Pallet {sscc} is on line {line} already, with all that its label says."
    advice = "Scan the next one; to scan its boxes one by one, remove that line first."
