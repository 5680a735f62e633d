"""Why a scan is refused: one class for each reason, all of them an UnreadableScan."""

from brewery.kernel.errors import DomainError


class UnreadableScan(DomainError):
    """What was scanned means nothing here, or nothing that may be trusted."""

    code = "unreadable_scan"
    status = 400
    title = "The scan cannot be read."
    template = "{text!r} is neither a GS1 barcode nor a code of this brewery."
    advice = "Scan it again, or type what is printed on the label."


class WrongCheckDigit(UnreadableScan):
    code = "wrong_check_digit"
    template = "{key} {number} ends in {digit}; its check digit would be {expected}."
    advice = "Scan it again; if it stays wrong, the label is."


class UnknownIdentifier(UnreadableScan):
    code = "unknown_application_identifier"
    template = "{text!r} begins with no application identifier that GS1 knows."
    advice = "Scan it again with a scanner that sends the group separator (0x1D)."


class WrongContent(UnreadableScan):
    code = "wrong_content"
    template = "({identifier}) {title} cannot be {value!r}: {problem}."


class TooLong(UnreadableScan):
    code = "too_long"
    template = "({identifier}) {title} takes at most {most} characters; {value!r} is longer."
    advice = "The label is wrong, or the scanner does not send the group separator (0x1D)."


class NoSuchDay(UnreadableScan):
    code = "no_such_day"
    template = "({identifier}) {title} {value} is no day of the calendar."
    advice = "The label is wrong: type the date that was meant."


class SaidTwice(UnreadableScan):
    code = "said_twice"
    template = "({identifier}) stands there twice, as {first!r} and as {second!r}."


class MissingPartner(UnreadableScan):
    code = "missing_partner"
    template = "({identifier}) {title} means nothing without {partners}."
    advice = "Scan the other barcode of the label, or type what is printed there."


class WrongPartner(UnreadableScan):
    code = "wrong_partner"
    template = "({identifier}) and ({other}) must not stand on one label."


class UnknownGtin(UnreadableScan):
    """A GTIN in order that no trade item of the brewery bears; `facts["gtin"]` has its 14 digits."""

    code = "unknown_gtin"
    template = "GTIN {gtin} is not known here."
    advice = "Choose the material by hand, and have the GTIN entered among the trade items."


class UnknownLabel(UnreadableScan):
    """A label in this brewery's own form that names nothing on record."""

    code = "unknown_label"
    template = "The label names {thing} {name!r} of this brewery; there is none."
    advice = "Look it up in the list: it may have been recorded by mistake and reversed."
