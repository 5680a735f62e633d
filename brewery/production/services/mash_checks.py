"""What no mash can do: temperatures beyond water, and parts of the mash that are drawn off and never put back."""

from collections.abc import Iterator, Sequence

from brewery.kernel.errors import DomainError, InvalidInput
from brewery.production.models import MashStep
from brewery.production.queries.sheet_contents import MashLine

Action = MashStep.Action

MOST_STEPS = 40
_MOST_MINUTES = 600
_WHOLE_MILLI_C = (5_000, 85_000)
_PART_MILLI_C = (5_000, 105_000)
_BOIL_MILLI_C = (90_000, 105_000)
_AFTER = {
    Action.MASH_OUT: (Action.SPARGE, Action.REST),
    Action.SPARGE: (Action.SPARGE,),
}
"""What may still come after these; common practice, no source."""


def mash_faults(steps: Sequence[MashLine]) -> Iterator[DomainError]:
    """Yield what is wrong with the steps: each by itself, and in the order in which they stand."""
    if len(steps) > MOST_STEPS:
        yield _fault("mash_steps", str(len(steps)), f"A mash has at most {MOST_STEPS} steps.")
    for index, step in enumerate(steps):
        yield from _by_itself(f"mash_steps[{index}]", step)
    if all(step.action in Action.values for step in steps):
        yield from _in_order(steps)


def _by_itself(field: str, step: MashLine) -> Iterator[DomainError]:
    if step.vessel not in MashStep.Vessel.values:
        yield _fault(f"{field}.vessel", step.vessel, f"Choose one of: {', '.join(MashStep.Vessel.values)}.")
    if step.action not in Action.values:
        yield _fault(f"{field}.action", step.action, f"Choose one of: {', '.join(Action.values)}.")
    if not 0 <= step.minutes <= _MOST_MINUTES:
        yield _fault(f"{field}.minutes", str(step.minutes), f"Give 0 to {_MOST_MINUTES} minutes.")
    if step.action == Action.DRAW_OFF and not 0 < (step.share_ppm or 0) < 1_000_000:
        yield _fault(f"{field}.share_pct", _per_cent(step), "Say which part is drawn off, less than all of it.")
    if step.action != Action.DRAW_OFF and step.share_ppm is not None:
        yield _fault(f"{field}.share_pct", _per_cent(step), "Only what is drawn off is a part of the mash.")


def _in_order(steps: Sequence[MashLine]) -> Iterator[DomainError]:
    drawn_off: int | None = None
    for index, step in enumerate(steps):
        field = f"mash_steps[{index}]"
        yield from _place_faults(field, step, steps[:index])
        if (step.action == Action.DRAW_OFF) and drawn_off is not None:
            yield _fault(f"{field}.action", "draw off", f"Put back what step {drawn_off + 1} drew off first.")
        if step.action in (Action.BOIL, Action.PUT_BACK) and drawn_off is None:
            yield _fault(f"{field}.action", Action(step.action).label, "Nothing is drawn off: draw off a part first.")
        if step.action in (Action.MASH_OUT, Action.SPARGE) and drawn_off is not None:
            yield _fault(f"{field}.action", Action(step.action).label, "Put back first what is drawn off.")
        is_part = drawn_off is not None and step.action in (Action.REST, Action.BOIL)
        yield from _temperature_faults(field, step, is_part=is_part)
        drawn_off = {Action.DRAW_OFF: index, Action.PUT_BACK: None}.get(Action(step.action), drawn_off)
    if drawn_off is not None:
        yield _fault(f"mash_steps[{drawn_off}].action", "draw off", "It is never put back: add the step that does.")


def _place_faults(field: str, step: MashLine, before: Sequence[MashLine]) -> Iterator[DomainError]:
    if (step.action == Action.MASH_IN) == bool(before):
        problem = "A mash begins with mashing in." if not before else "It was mashed in already."
        yield _fault(f"{field}.action", Action(step.action).label, problem)
    for last, allowed in _AFTER.items():
        if any(earlier.action == last for earlier in before) and step.action not in allowed:
            yield _fault(f"{field}.action", Action(step.action).label, f"It cannot come after “{last.label}”.")


def _temperature_faults(field: str, step: MashLine, *, is_part: bool) -> Iterator[DomainError]:
    least, most = _PART_MILLI_C if is_part else _WHOLE_MILLI_C
    if step.action == Action.BOIL:
        least, most = _BOIL_MILLI_C
    if not least <= step.temperature_milli_c <= most:
        problem = f"Give {least / 1_000:g} to {most / 1_000:g} °C for “{Action(step.action).label}”."
        yield _fault(f"{field}.temperature_c", f"{step.temperature_milli_c / 1_000:g}", problem)


def _per_cent(step: MashLine) -> str:
    return "" if step.share_ppm is None else f"{step.share_ppm / 10_000:g}"


def _fault(field: str, value: str, problem: str) -> InvalidInput:
    return InvalidInput(field=field, value=value, problem=problem)
