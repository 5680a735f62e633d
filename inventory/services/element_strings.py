"""GS1 element strings: a scanned text taken apart into identifiers and values, each of them checked.

`biip` knows the identifiers and their forms. What it lets pass is checked here: check digits, a missing separator,
values that are too long, pairings, one identifier with two values.
"""

from collections.abc import Sequence
from urllib.parse import parse_qsl, unquote, urlsplit

from biip import ParseError
from biip.gs1_application_identifiers import GS1ApplicationIdentifier
from biip.gs1_digital_link_uris import GS1DigitalLinkURI
from biip.gs1_element_strings import GS1ElementString

from brewery.science import gs1
from inventory.services.scan_refusals import (
    MissingPartner,
    NoSuchDay,
    SaidTwice,
    TooLong,
    UnknownIdentifier,
    UnreadableScan,
    WrongCheckDigit,
    WrongContent,
    WrongPartner,
)

GROUP_SEPARATOR = "\x1d"
DATES = frozenset({"11", "12", "13", "15", "16", "17", "7003", "7006", "7007", "8008"})
WHOLE_DATES = frozenset({"7003", "7006", "7007", "8008"})
"""Those that name their day. GS1 Barcode Syntax Dictionary: only a day of the others may be 00, the month's last."""

Elements = dict[str, GS1ElementString]


def elements_of_message(message: str) -> Elements:
    """Return the element strings of a barcode by identifier. Raises UnreadableScan, saying what is wrong."""
    found: list[GS1ElementString] = []
    rest = message.strip(GROUP_SEPARATOR)
    while rest:
        element = _first_of(rest)
        found.append(element)
        rest = rest[len(element) :]
        _refuse_what_runs_on(element, rest)
        rest = rest.lstrip(GROUP_SEPARATOR)
    if not found:
        raise UnreadableScan(text=message, field="text")
    return _checked(found)


def elements_of_link(uri: str) -> Elements:
    """Return the element strings of a GS1 Digital Link URI, on any domain. Raises UnreadableScan."""
    found = [_whole(identifier, value) for identifier, value in _pairs_of_link(uri)]
    try:
        GS1DigitalLinkURI.parse(uri)
    except (ParseError, ValueError) as fault:
        raise UnreadableScan(text=uri, field="text") from fault
    return _checked(found)


def _pairs_of_link(uri: str) -> list[tuple[str, str]]:
    try:
        parts = urlsplit(uri)
    except ValueError as fault:
        raise UnreadableScan(text=uri, field="text") from fault
    segments = parts.path.split("/")
    start = next((at for at, segment in enumerate(segments) if segment in LINK_KEYS), len(segments))
    path = [unquote(segment) for segment in segments[start:]]
    pairs = [*zip(path[::2], path[1::2], strict=False), *parse_qsl(parts.query)]
    return [(key, value.zfill(14) if key == "01" else value) for key, value in pairs if _is_identifier(key)]


LINK_KEYS = frozenset(
    {"00", "01", "253", "255", "401", "402", "414", "415", "417"}
    | {"8003", "8004", "8006", "8010", "8013", "8017", "8018"}
)
"""The identifiers that a Digital Link may begin with. GS1 Digital Link Standard: URI Syntax, section 4.2."""


def _is_identifier(key: str) -> bool:
    try:
        return GS1ApplicationIdentifier.extract(key).ai == key
    except ParseError:
        return False


def _first_of(text: str) -> GS1ElementString:
    try:
        identifier = GS1ApplicationIdentifier.extract(text)
    except ParseError as fault:
        raise UnknownIdentifier(text=text.split(GROUP_SEPARATOR)[0], field="text") from fault
    try:
        return GS1ElementString.extract(text)
    except ParseError as fault:
        value = text.split(GROUP_SEPARATOR)[0][len(identifier.ai) :]
        raise _fault_of(identifier, value) from fault


def _whole(identifier: str, value: str) -> GS1ElementString:
    try:
        return GS1ElementString.parse(f"{identifier}{value}")
    except ParseError as fault:
        raise _fault_of(GS1ApplicationIdentifier.extract(identifier), value) from fault


def _fault_of(identifier: GS1ApplicationIdentifier, value: str) -> UnreadableScan:
    """Return why a value does not have the form of its identifier."""
    facts = {"identifier": identifier.ai, "title": identifier.data_title, "field": "text"}
    digits, most = _longest(identifier)
    if digits and not value.isdecimal():
        return WrongContent(value=value, problem="it is a number", **facts)
    if identifier.ai in DATES and len(value) >= most:
        return NoSuchDay(value=value[:most], **facts)
    odd = next((sign for sign in value if not gs1.CSET_82.fullmatch(sign)), "")
    if odd:
        return WrongContent(value=value, problem=f"{odd!r} is no character that a GS1 barcode holds", **facts)
    if len(value) > most:
        return TooLong(value=value, most=most, **facts)
    return WrongContent(value=value, problem="it is too short" if len(value) < most else "its form is wrong", **facts)


def _longest(identifier: GS1ApplicationIdentifier) -> tuple[bool, int]:
    """Return whether the value is digits only, and its greatest length, from a form such as N2+X..20."""
    parts = [part.strip("[]") for part in identifier.format.split("+")[1:]]
    return all(part.startswith("N") for part in parts), sum(int(part.lstrip("NXYZ.")) for part in parts)


def _refuse_what_runs_on(element: GS1ElementString, rest: str) -> None:
    """Raise TooLong or WrongContent where a value of open length is followed by something else than a separator."""
    if element.ai.separator_required and rest and not rest.startswith(GROUP_SEPARATOR):
        raise _fault_of(element.ai, element.value + rest.split(GROUP_SEPARATOR)[0])


def _checked(found: Sequence[GS1ElementString]) -> Elements:
    by_identifier: Elements = {}
    for element in found:
        earlier = by_identifier.setdefault(element.ai.ai, element)
        if earlier.value != element.value:
            raise SaidTwice(identifier=element.ai.ai, first=earlier.value, second=element.value, field="text")
    for element in by_identifier.values():
        _refuse_no_day(element)
        _refuse_wrong_check_digit(element)
        _refuse_wrong_company(element, by_identifier)
    return by_identifier


def _refuse_no_day(element: GS1ElementString) -> None:
    identifier = element.ai
    if identifier.ai in WHOLE_DATES and element.value[4:6] == "00":
        raise NoSuchDay(identifier=identifier.ai, title=identifier.data_title, value=element.value, field="text")


def _refuse_wrong_check_digit(element: GS1ElementString) -> None:
    number = element.value
    if element.ai.ai in gs1.KEYS_WITH_A_CHECK_DIGIT and not gs1.has_right_check_digit(number):
        raise wrong_check_digit(element.ai.data_title, number)


def wrong_check_digit(key: str, number: str) -> WrongCheckDigit:
    """Return the refusal of a number whose last digit is wrong."""
    return WrongCheckDigit(
        key=key, number=number, digit=number[-1], expected=gs1.check_digit(number[:-1]), field="text"
    )


def _refuse_wrong_company(element: GS1ElementString, present: Elements) -> None:
    identifier = element.ai.ai
    if other := gs1.wrong_partner(identifier, present):
        raise WrongPartner(identifier=identifier, other=other, field="text")
    if missing := gs1.missing_partner(identifier, present):
        partners = " or ".join(f"({partner})" for partner in sorted(missing, key=lambda key: (len(key), key)))
        raise MissingPartner(identifier=identifier, title=element.ai.data_title, partners=partners, field="text")
