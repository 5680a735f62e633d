"""Rules for packaged lots: set anew from a day on; and the code and best-before day that they give a fill."""

from datetime import date
from uuid import UUID

from brewery.kernel.clock import now
from brewery.kernel.errors import InvalidInput
from brewery.kernel.models import User
from brewery.kernel.services.requests import once
from brewery.production.models import PackagingRule
from brewery.production.queries.packaging_codes import codes_for
from brewery.production.services.refusals import NoCodeLeft
from brewery.science.lot_patterns import LONGEST_CODE, Filled, Span, check_pattern
from brewery.science.ranges import OutOfRange
from inventory.models import Material
from inventory.services.refusals import WrongMaterial

LONGEST_LIFE = 3653
"""Ten years in days: no beer is marked for longer (common practice, no source)."""


@once("set_packaging_rule", returns=PackagingRule)
def set_packaging_rule(
    *,
    pattern: str,
    in_force_from: date,
    actor: User,
    request_id: UUID,
    material: Material | None = None,
    has_l_prefix: bool = False,
    life: int | None = None,
    life_in: str = Span.DAYS,
    to_months_end: bool = False,
) -> PackagingRule:
    """From that day on lots of the material, or of all without a rule of their own, are coded and dated so.

    "L" before the code: Directive 2011/91/EU, article 3. Raises WrongMaterial, InvalidInput.
    """
    if material and material.kind != Material.Kind.PACKAGED:
        kind = material.get_kind_display()
        raise WrongMaterial(lot=material.name, kind=kind, wanted="packaged beer", field="material")
    try:
        check_pattern(f"L{pattern}" if has_l_prefix and pattern else pattern)
    except OutOfRange as wrong:
        raise InvalidInput(field="pattern", value=pattern, problem=wrong.problem) from wrong
    if life_in not in list(Span):
        raise InvalidInput(field="life_in", value=life_in, problem=f"Choose one of: {', '.join(Span)}.")
    if life is not None and not 0 < life * (31 if life_in == Span.MONTHS else 1) <= LONGEST_LIFE:
        raise InvalidInput(field="life", value=life, problem="Give a time above zero, of ten years at most.")
    if to_months_end and life is None:
        raise InvalidInput(field="to_months_end", value=to_months_end, problem="Say first how long it keeps.")
    return PackagingRule.objects.create(
        material=material,
        pattern=pattern,
        has_l_prefix=has_l_prefix,
        life=life,
        life_in=life_in,
        to_months_end=to_months_end,
        in_force_from=in_force_from,
        set_at=now(),
        actor=actor,
        request_id=request_id,
    )


def code_by_rule(material: Material, filled: Filled) -> str:
    """Return the next code; whoever asks at the same time waits until this transaction is over, and gets another.

    Raises NoCodeLeft.
    """
    # One row stands for all that is packaged; its key stays as it is, so lots are made of the material meanwhile.
    list(Material.objects.filter(kind=material.kind).order_by("pk").select_for_update(no_key=True)[:1])
    code = next(codes_for(material, filled), None)
    if code is None or len(code) > LONGEST_CODE:
        raise NoCodeLeft(material=material, code=code or "none", longest=LONGEST_CODE, field="packaged_code")
    return code
