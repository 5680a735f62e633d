"""Why an order is not taken, not picked, not shipped, and a return not decided on."""

from brewery.kernel.errors import DomainError


class OrderChangedMeanwhile(DomainError):
    code = "changed_meanwhile"
    status = 412
    title = "Somebody changed it meanwhile."
    template = "Order {order} is at revision {revision}; you looked at revision {seen}."
    advice = "Look at it as it is now, and change it again if need be."


class OrderNotOpen(DomainError):
    code = "customer_order_not_open"
    title = "The order is not open any more."
    template = "Order {order} is {state}."
    advice = "Enter another order, or reverse its shipment if that was a mistake."


class LineIsPicked(DomainError):
    code = "line_is_picked"
    title = "More of it is picked or shipped already."
    template = "Of {material}, {there} are picked or shipped for order {order}; {asked} were asked for."
    advice = "Put back what is too much first."


class NotOnTheOrder(DomainError):
    code = "not_on_the_order"
    title = "This beer is not on the order."
    template = "Lot {lot} is {material}; order {order} does not ask for it."
    advice = "Look whether it is the right pallet, or have the order changed."


class NotFreeToPick(DomainError):
    code = "not_free_to_pick"
    title = "That many cannot be picked there."
    template = "Of lot {lot} in {location}, {free} can be picked; {asked} were asked for."


class MoreThanWanted(DomainError):
    code = "more_than_wanted"
    title = "It is more than is wanted."
    template = "Of {material}, {open} are still wanted for order {order}; {asked} were picked."
    advice = "Pick less, or say why more goes."


class KeepsTooShort(DomainError):
    code = "keeps_too_short"
    title = "It does not keep long enough."
    template = "Lot {lot} is not for {customer} on {day}: {because}."
    advice = "Take another lot, or say why the customer takes it all the same."


class NothingPicked(DomainError):
    code = "nothing_picked"
    title = "Nothing is picked."
    template = "Nothing is picked for order {order}."
    advice = "Pick it first."


class PickGone(DomainError):
    code = "pick_gone"
    title = "It is picked no more."
    template = "These {count} of lot {lot} were put back or shipped already."
    advice = "Look at the order as it is now."


class NoteNumberTaken(DomainError):
    code = "note_number_taken"
    title = "The delivery note number is taken."
    template = "Delivery note {number} went with the shipment of {moment} to {customer}."
    advice = "Give the next number; one is never given twice, even where a shipment was reversed."


class MoreThanCameBack(DomainError):
    code = "more_than_came_back"
    title = "Fewer wait for a decision."
    template = (
        "Of lot {lot} in {location}, {waiting} came back in this return and wait for a decision; {asked} were given."
    )
    advice = "Look at what was decided already."


class MoreThanTheyHold(DomainError):
    code = "more_than_they_hold"
    status = 400
    title = "They cannot hold that much."
    template = "{count} of {material} hold {full} at most; {asked} was given."
    advice = "Measure what is left in them again."
