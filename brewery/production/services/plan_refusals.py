"""Why a brew is not planned, not changed, not called off, or not started from its plan."""

from brewery.kernel.errors import DomainError


class PlanChangedMeanwhile(DomainError):
    code = "changed_meanwhile"
    status = 412
    title = "Somebody changed it meanwhile."
    template = "Plan {plan} is at revision {revision}; you looked at revision {seen}."
    advice = "Look at it as it is now, and change it again if need be."


class PlanNotOpen(DomainError):
    code = "plan_not_open"
    title = "The plan is not open any more."
    template = "Plan {plan} is {state}."
    advice = "Plan another brew."


class VesselTaken(DomainError):
    code = "vessel_taken"
    title = "The vessel is planned for another brew."
    template = "{vessel} is to be filled by {other} on {day}."
    advice = "Choose another vessel or another day."
