"""Refusals: one class for each reason, each with a code for machines and a sentence for people."""

from collections.abc import Sequence
from typing import Any, ClassVar


class DomainError(Exception):
    """Something that was asked for and is refused.

    `code` never changes once published. `template` is the sentence with the facts; `advice` says what to do next.
    `field` names the input that is wrong, where one input is. `instead` is a way out that follows from the facts of the
    moment, where somebody has worked one out.
    """

    code: ClassVar[str] = "refused"
    status: ClassVar[int] = 409
    title: ClassVar[str] = "The record refuses this."
    template: ClassVar[str] = "{detail}"
    advice: ClassVar[str] = ""

    def __init__(self, *, field: str | None = None, **facts: Any) -> None:
        super().__init__()
        self.field = field
        self.facts = facts
        self.instead = ""

    def __str__(self) -> str:
        sentence = self.template.format(**self.facts)
        return " ".join(part for part in (sentence, self.advice, self.instead) if part)

    def all_faults(self) -> Sequence["DomainError"]:
        """Return every fault that this tells of: itself, unless it gathers several."""
        return (self,)


class SeveralFaults(DomainError):
    """Everything that is wrong with something, told at once; each fault names its own field."""

    template = "There are {count} things to put right."

    def __init__(self, faults: Sequence["DomainError"], **facts: Any) -> None:
        super().__init__(count=len(faults), **facts)
        self.faults = tuple(faults)

    def all_faults(self) -> Sequence["DomainError"]:
        """Return the faults that it gathers."""
        return self.faults


class InvalidInput(DomainError):
    """A value cannot be what it claims to be: wrong form, wrong unit, out of range."""

    code = "invalid_input"
    status = 400
    title = "A value is not valid."
    template = "{field_name}: {value!r} is not valid. {problem}"

    def __init__(self, *, field: str, value: Any, problem: str) -> None:
        super().__init__(field=field, field_name=field, value=value, problem=problem)


class SeveralInvalid(SeveralFaults):
    """Several values cannot be what they claim to be."""

    code = "invalid_input"
    status = 400
    title = "Some values are not valid."


class NotFound(DomainError):
    """A code that nothing in the record bears."""

    code = "not_found"
    status = 404
    title = "There is no such thing in the record."
    template = "There is no {thing} {code!r}."


class NotAllowed(DomainError):
    """The person lacks the right that this needs."""

    code = "not_allowed"
    status = 403
    title = "This needs a right you do not have."
    template = "{person} may not do this: it needs the right “{right}”."


class RequestIdReused(DomainError):
    """A request id came back with other content, so one of the two would be lost."""

    code = "request_id_reused"
    status = 422
    title = "This request id was used before, for something else."
    template = "Request {request_id} was used before with another {field_name}."
    advice = "Send the same content again to repeat it, or use a new request id for something new."
