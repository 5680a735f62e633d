"""What the database refuses about seals and requests, whoever writes.

Each rule is named by the sentence that it keeps, and the error carries the name.
"""

from brewery.kernel.database.triggers import Trigger, no_truncate, refusal, register

_SEALS = {"kernel_seal": "seals", "kernel_sealedrequest": "sealed_requests"}


def seal_triggers() -> list[Trigger]:
    """Return every rule that the tables of seals carry as a trigger."""
    rules = []
    for table, words in _SEALS.items():
        rules.append(refusal(f"{words}_are_never_changed", table, "", "UPDATE"))
        rules.append(refusal(f"{words}_are_never_deleted", table, "", "DELETE"))
        rules.append(no_truncate(f"{words}_are_never_truncated", table))
    return rules


register(seal_triggers())
