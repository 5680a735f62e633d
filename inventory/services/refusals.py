"""Why the ledger refuses: one class for each reason, and the sentence it says."""

from brewery.kernel.errors import DomainError

BY_OVERRIDE = "or let somebody with the role quality, besides that for this work, sign in and do it with a reason"
"""Who overrides a refusal, and how: the right to is quality's, and the work is that of another role."""


class NotEnoughThere(DomainError):
    code = "not_enough_there"
    title = "There is not that much there."
    template = "{location} holds {held} of lot {lot}; {asked} was asked for."
    advice = "Count the place, or take the rest from another lot."


class NotEnoughThen(DomainError):
    code = "not_enough_then"
    title = "There was not that much there at that time."
    template = "At {moment}, {location} would have held {shortfall} less than nothing of lot {lot}."
    advice = "Give the time at which it really happened, after what brought the lot there."


class LotNotReleased(DomainError):
    code = "lot_not_released"
    title = "The lot is not released."
    template = "Lot {lot} is {disposition}, so it cannot be used."
    advice = f"Ask quality to release it, {BY_OVERRIDE}."


class VesselOccupied(DomainError):
    code = "vessel_occupied"
    title = "The vessel holds another lot."
    template = "{location} holds lot {held_lot}, so lot {lot} cannot go in beside it."
    advice = "Blend them under a new lot code, or empty the vessel first."


class VesselOccupiedThen(DomainError):
    code = "vessel_occupied_then"
    title = "The vessel held another lot at that time."
    template = "At {moment}, {location} would have held lots {lots} at once."
    advice = "Give the time at which it really happened; or reverse what came later, and tell it again in order."


class VesselNotClean(DomainError):
    code = "vessel_not_clean"
    title = "The vessel is not clean."
    template = "{location} was not cleaned after lot {before} had lain in it."
    advice = "Clean it first, or give a reason why it is filled uncleaned: what comes in is then linked to that lot."


class VesselOutOfService(DomainError):
    code = "vessel_out_of_service"
    title = "The vessel is out of service."
    template = "{location} is out of service since {moment}: {reason}."
    advice = "Put it back into service first, or use another."


class VesselInUse(DomainError):
    code = "vessel_in_use"
    title = "The vessel is in use."
    template = "At {moment}, {location} holds lot {held_lot}."
    advice = "Empty it first, or give the time at which it was empty."


class OneCodeForSeveralVessels(DomainError):
    code = "one_code_for_several_vessels"
    status = 400
    title = "One code names what goes into one uncleaned vessel."
    template = "{locations} were not cleaned, and code {lot} can name only what goes into one of them."
    advice = "Bring back what goes into each by itself, with a code of its own; or clean them first."


class UncleanContentsCodeMissing(DomainError):
    code = "unclean_contents_code_missing"
    status = 400
    title = "What goes into an uncleaned vessel needs a code of its own."
    template = "{location} holds the residue of lot {before}: what of lot {lot} goes in becomes a lot that says so."
    advice = "Give the code of the new contents, or clean the vessel first."


class VesselEmpty(DomainError):
    code = "vessel_empty"
    title = "The vessel is empty."
    template = "{location} holds nothing."
    advice = "Look up where the lot is now."


class OverCapacity(DomainError):
    code = "over_capacity"
    title = "It does not fit."
    template = "{location} takes {capacity}; with this it would hold {asked}."
    advice = "Split it over another place, or correct the quantity."


class InTheFuture(DomainError):
    code = "in_the_future"
    status = 400
    title = "It has not happened yet."
    template = "{moment} has not come yet."
    advice = "Give the time at which it happened."


class BeforeItsLot(DomainError):
    code = "before_its_lot"
    title = "The lot did not exist yet."
    template = "Lot {lot} was made at {made_at}, after {moment}."
    advice = "Give a later time, or correct the lot's own first record."


class MadeByMistake(DomainError):
    code = "made_by_mistake"
    title = "The lot was recorded by mistake."
    template = "Lot {lot} was recorded by mistake, and that record was reversed."
    advice = "Look up the lot that was meant, or record it again."


class LotCodeTaken(DomainError):
    code = "lot_code_taken"
    title = "The lot code is taken."
    template = "Lot code {lot} is in use already."
    advice = "Choose another code."


class OutputInUse(DomainError):
    code = "output_in_use"
    title = "Something later depends on it."
    template = "The {event} of {moment} cannot be reversed: lot {lot} went on in the {later} of {later_moment}."
    advice = "Reverse what came later first."


class AlreadyReversed(DomainError):
    code = "already_reversed"
    title = "It is reversed already."
    template = "The {event} of {moment} was reversed on {reversed_moment}."
    advice = "Record it again if it did happen."


class NotReversible(DomainError):
    code = "not_reversible"
    title = "A reversal cannot be reversed."
    template = "Event {event} is itself a reversal."
    advice = "Record again what did happen."


class WrongPlace(DomainError):
    code = "wrong_place"
    status = 400
    title = "This cannot be done at that place."
    template = "{location} is {kind}; this needs a {wanted}."
    advice = "Choose another place."


class WrongMaterial(DomainError):
    code = "wrong_material"
    status = 400
    title = "This cannot be done with that material."
    template = "{lot} is a {kind}; this needs {wanted}."
    advice = "Choose another lot."


class NothingToDo(DomainError):
    code = "nothing_to_do"
    status = 400
    title = "There is nothing to record."
    template = "{what} has no lines."
    advice = "Give at least one."


class ReasonMissing(DomainError):
    code = "reason_missing"
    status = 400
    title = "It needs a reason."
    template = "{what} needs a reason."
    advice = "Say in a few words why."


class CrossContact(DomainError):
    code = "cross_contact"
    title = "The silo holds another material."
    template = "{location} holds {held} (lot {held_lot}); {comes} cannot go in on top of it."
    advice = "Empty the silo first, or use another place."


class LiesBeneath(DomainError):
    code = "lies_beneath"
    title = "Something else lies beneath it."
    template = "In {location}, lot {beneath} lies beneath lot {lot} and comes out first."
    advice = "Take what lies lowest, or gauge the silo where it is gone."


class MetAlready(DomainError):
    code = "met_already"
    title = "It would change what was drawn later."
    template = "Told so late, lot {lot}, drawn from {location} afterwards, would have met lot {neighbour}."
    advice = "Reverse the later draws first, and enter them again after this."


class LotReserved(DomainError):
    code = "lot_reserved"
    title = "It is kept for something else."
    template = "Of lot {lot}, {kept} is kept for {purposes}, so {free} can be taken; {asked} was asked for."
    advice = f"Take another lot, or let the reservation go; {BY_OVERRIDE}."
