"""The lines of the duty record: what beer did that came into bond, left it, or changed in it."""

from brewery.science.duty.movements import Kind
from inventory.models import Event, Location
from traceability.models import DutyPurpose, DutyStanding

KIND, PLACE, PURPOSE, STANDING = Event.Kind, Location.Kind, DutyPurpose.Purpose, DutyStanding.Standing

LINES: dict[str, str] = {
    "produced": "Produced, less what went into other beer",
    "added": "Water and other liquids added in the cellar",
    "received_in_bond": "Received in bond",
    "received_duty_paid": "Received duty paid",
    "returned": "Returned from customers or duty-paid places",
    "surplus": "Surplus found by counts and gauges",
    "packaged": "Packaged: out of tanks, into packages",
    "reworked": "Tipped back: out of packages, into tanks",
    "with_yeast": "Went with yeast",
    "removed": "Removed for consumption or sale",
    "tasting_room": "Removed to duty-paid places, such as a tasting room",
    "exported": "Removed for export",
    "supplied": "Removed without payment, as supplies",
    "researched": "Removed without payment, for research",
    "other_premises": "Removed in bond to other premises",
    "unfit": "Removed unfit for sale",
    "given_free": "Given to staff free of duty",
    "sent_back": "Sent back to suppliers",
    "sampled": "Taken as samples",
    "lost_cellar": "Lost in the cellar",
    "lost_filtering": "Lost in filtering",
    "lost_packaging": "Lost in packaging",
    "lost_store": "Lost otherwise",
    "destroyed": "Destroyed",
    "shortage": "Shortage found by counts and gauges",
    "other": "Made into something else",
}
"""Each line between opening and closing, in order, and its name for people."""

REMOVALS = ("removed", "tasting_room", "exported", "supplied", "researched", "other_premises", "unfit", "given_free")
LOSSES = ("lost_cellar", "lost_filtering", "lost_packaging", "lost_store", "destroyed", "shortage")

_BY_PURPOSE = {
    PURPOSE.HOME_USE: "removed",
    PURPOSE.EXPORT: "exported",
    PURPOSE.SUPPLIES: "supplied",
    PURPOSE.RESEARCH: "researched",
    PURPOSE.OTHER_PREMISES: "other_premises",
    PURPOSE.UNFIT: "unfit",
    PURPOSE.STAFF: "given_free",
}
_BY_STANDING = {
    STANDING.DUTY_PAID: "removed",
    STANDING.ABROAD: "exported",
    STANDING.IN_BOND: "other_premises",
}
_CELLAR = (KIND.KNOCK_OUT, KIND.PITCH, KIND.TRANSFER, KIND.KRAEUSEN, KIND.BLEND)
_CHANGES = {
    **dict.fromkeys(_CELLAR, "produced"),
    KIND.ADD: "added",
    KIND.FILTER: "lost_filtering",
    KIND.HARVEST: "with_yeast",
    KIND.PROPAGATE: "with_yeast",
    KIND.PACKAGE: "packaged",
    KIND.REWORK: "reworked",
}
_LOSSES = {
    **dict.fromkeys((*_CELLAR, KIND.ADD, KIND.HARVEST, KIND.PROPAGATE), "lost_cellar"),
    KIND.FILTER: "lost_filtering",
    KIND.PACKAGE: "lost_packaging",
    KIND.FINISH_RUN: "lost_packaging",
}
_MOVEMENTS = {
    "produced": Kind.PRODUCED,
    "added": Kind.WATER_ADDED,
    "received_in_bond": Kind.RECEIVED_IN_BOND,
    "received_duty_paid": Kind.RETURNED_ELSEWHERE,
    "returned": Kind.RETURNED,
    "surplus": Kind.SURPLUS,
    "removed": Kind.REMOVED,
    "tasting_room": Kind.REMOVED_TO_TAVERN,
    "exported": Kind.EXPORTED,
    "supplied": Kind.SUPPLIED,
    "researched": Kind.RESEARCHED,
    "other_premises": Kind.TO_OTHER_PREMISES,
    "unfit": Kind.UNFIT,
    "given_free": Kind.GIVEN_FREE,
    "sent_back": Kind.TO_OTHER_PREMISES,
    "sampled": Kind.SAMPLED,
    "destroyed": Kind.DESTROYED,
    "shortage": Kind.SHORTAGE,
}
_OUTSIDE = {
    PLACE.DESTROYED: "destroyed",
    PLACE.SENT_BACK: "sent_back",
    PLACE.LABORATORY: "sampled",
}
HERE = frozenset(Location.INSIDE) - {PLACE.LABORATORY}
"""Where beer is on hand, in bond or not. What went to the laboratory is a sample."""


def lines_of(kind: str, source: tuple[str, str], target: tuple[str, str], purpose: str) -> list[tuple[str, int]]:
    """Return the lines of what went from one kind of place to another: gained by bond (1) or lost (-1).

    `source` and `target` are kinds of place with the standing that was told of them, or "". Beer is made in bond, and
    into other beer: what was made straight into a duty-paid place was made and removed, what was tipped back from
    there was returned first.
    """
    left, arrived = _is_in_bond(*source), _is_in_bond(*target)
    if left == arrived:
        return _through_bond(kind, source, target)
    return [(_came(kind, *source), 1)] if arrived else [(_went(kind, *target, purpose), -1)]


def movement_of(line: str) -> Kind:
    """Return what a duty scheme calls what is on the line: what names no other kind is a loss of the process."""
    return _MOVEMENTS.get(line, Kind.LOST)


def _through_bond(kind: str, source: tuple[str, str], target: tuple[str, str]) -> list[tuple[str, int]]:
    made = _CHANGES.get(KIND(kind), "other")
    if source[0] == PLACE.TRANSFORMED and target[0] in HERE:
        return [(made, 1), ("tasting_room", -1)]
    if target[0] == PLACE.TRANSFORMED and source[0] in HERE:
        return [("returned", 1), (made, -1)]
    return []


def _is_in_bond(place: str, standing: str) -> bool:
    return place in HERE and standing != STANDING.DUTY_PAID


def _came(kind: str, place: str, standing: str) -> str:
    if place == PLACE.SUPPLIER:
        return "received_in_bond" if standing == STANDING.IN_BOND else "received_duty_paid"
    if place == PLACE.COUNT_DIFFERENCE:
        return "surplus"
    if place == PLACE.TRANSFORMED:
        return _CHANGES.get(KIND(kind), "other")
    return _OUTSIDE.get(PLACE(place), "returned")


def _went(kind: str, place: str, standing: str, purpose: str) -> str:
    if place == PLACE.CUSTOMER:
        return _BY_PURPOSE[PURPOSE(purpose)] if purpose else _BY_STANDING[STANDING(standing or "duty_paid")]
    if place == PLACE.COUNT_DIFFERENCE:
        return "shortage"
    if place == PLACE.TRANSFORMED:
        return _CHANGES.get(KIND(kind), "other")
    if place == PLACE.LOSS:
        return _LOSSES.get(KIND(kind), "lost_store")
    return _OUTSIDE.get(PLACE(place), "tasting_room")
