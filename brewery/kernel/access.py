"""Roles and rights: who may do what. Closed unless a right is named here for a role."""

from collections.abc import Mapping
from enum import StrEnum


class Right(StrEnum):
    """One thing a person may be allowed to do."""

    VIEW_RECORDS = "view_records"
    KEEP_REGISTERS = "keep_registers"
    KEEP_CUSTOMERS = "keep_customers"
    RECEIVE = "receive_deliveries"
    MOVE_STOCK = "move_stock"
    COUNT_STOCK = "count_stock"
    APPROVE_COUNTS = "approve_counts"
    KEEP_COSTS = "keep_costs"
    KEEP_DUTY = "keep_duty"
    DRAW = "draw_ingredients"
    BREW = "brew"
    CELLAR = "work_the_cellar"
    CLEAN = "look_after_vessels"
    PACKAGE = "package"
    DISPATCH = "dispatch"
    DESTROY = "destroy_stock"
    SAMPLE = "take_samples"
    COUNT_YEAST = "count_yeast"
    CERTIFY = "enter_certificates"
    SPECIFY = "set_specifications"
    SEND_BACK = "send_back_to_suppliers"
    DECIDE = "decide_on_lots"
    OVERRIDE = "override_refusals"
    REVERSE = "reverse_events"
    LOG_CLIMATE = "log_climate"
    HEED = "heed_alerts"
    AUDIT = "audit_ledger"
    MANAGE_PEOPLE = "manage_people"
    TEND_JOBS = "tend_jobs"


class Role(StrEnum):
    """One kind of person at the brewery; the name of a Django group."""

    RECEIVING = "receiving"
    BREWING = "brewing"
    QUALITY = "quality"
    ACCOUNTING = "accounting"
    ADMINISTRATION = "administration"
    AUDITOR = "auditor"


ROLE_RIGHTS: Mapping[Role, frozenset[Right]] = {
    Role.RECEIVING: frozenset(
        {
            Right.VIEW_RECORDS,
            Right.LOG_CLIMATE,
            Right.HEED,
            Right.RECEIVE,
            Right.MOVE_STOCK,
            Right.CLEAN,
            Right.COUNT_STOCK,
            Right.CERTIFY,
            Right.SEND_BACK,
            Right.DISPATCH,
            Right.REVERSE,
        }
    ),
    Role.BREWING: frozenset(
        {
            Right.VIEW_RECORDS,
            Right.LOG_CLIMATE,
            Right.HEED,
            Right.MOVE_STOCK,
            Right.COUNT_STOCK,
            Right.DRAW,
            Right.BREW,
            Right.CELLAR,
            Right.CLEAN,
            Right.PACKAGE,
            Right.SAMPLE,
            Right.COUNT_YEAST,
            Right.REVERSE,
        }
    ),
    Role.QUALITY: frozenset(
        {
            Right.VIEW_RECORDS,
            Right.LOG_CLIMATE,
            Right.HEED,
            Right.COUNT_STOCK,
            Right.APPROVE_COUNTS,
            Right.DECIDE,
            Right.OVERRIDE,
            Right.KEEP_CUSTOMERS,
            Right.DESTROY,
            Right.SEND_BACK,
            Right.SAMPLE,
            Right.COUNT_YEAST,
            Right.CERTIFY,
            Right.SPECIFY,
            Right.REVERSE,
            Right.AUDIT,
        }
    ),
    Role.ACCOUNTING: frozenset(
        {
            Right.VIEW_RECORDS,
            Right.HEED,
            Right.COUNT_STOCK,
            Right.APPROVE_COUNTS,
            Right.KEEP_COSTS,
            Right.KEEP_DUTY,
            Right.AUDIT,
        }
    ),
    Role.ADMINISTRATION: frozenset(
        {
            Right.VIEW_RECORDS,
            Right.LOG_CLIMATE,
            Right.HEED,
            Right.KEEP_REGISTERS,
            Right.KEEP_CUSTOMERS,
            Right.SPECIFY,
            Right.MANAGE_PEOPLE,
            Right.TEND_JOBS,
            Right.REVERSE,
            Right.AUDIT,
        }
    ),
    Role.AUDITOR: frozenset({Right.VIEW_RECORDS, Right.AUDIT}),
}


def rights_of_roles(names: set[str]) -> frozenset[Right]:
    """Return the rights of all roles among `names`; a name that is no role gives none."""
    granted: frozenset[Right] = frozenset()
    for role, rights in ROLE_RIGHTS.items():
        if role.value in names:
            granted |= rights
    return granted
