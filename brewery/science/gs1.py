"""GS1 identifiers: check digits, the numbers of a company prefix, and which identifiers must travel together.

Source: GS1 General Specifications, for the pairings as the GS1 Barcode Syntax Dictionary lists them.
"""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from types import MappingProxyType

GTIN_LENGTHS = (8, 12, 13, 14)
SSCC_LENGTH = 18
GLN_LENGTH = 13

CSET_82 = re.compile(r"[!-\"%-?A-Z_a-z]")
"""One character of GS1 character set 82: what a lot or a serial number may be made of."""

KEYS_WITH_A_CHECK_DIGIT = frozenset({"00", "01", "02", "402", *(str(number) for number in range(410, 418))})
"""Application identifiers whose value ends in a check digit."""


class Gs1Error(ValueError):
    """A number that GS1 would not have given out; the text says why."""


def check_digit(payload: str) -> int:
    """The check digit of a number without one: weights 3, 1, 3, ... from the right. Raises Gs1Error."""
    if not re.fullmatch(r"[0-9]+", payload):
        raise Gs1Error(f"{payload!r} is not a number.")
    total = sum(int(digit) * (1 if place % 2 else 3) for place, digit in enumerate(reversed(payload)))
    return -total % 10


def has_right_check_digit(number: str) -> bool:
    """Whether the last digit of a number is the check digit of those before it."""
    return bool(re.fullmatch(r"[0-9]{2,}", number)) and check_digit(number[:-1]) == int(number[-1])


def gtin_14(number: str) -> str:
    """The GTIN with 14 digits, noughts in front. Raises Gs1Error for a wrong length, a letter, a wrong check digit."""
    if len(number) not in GTIN_LENGTHS or not re.fullmatch(r"[0-9]+", number):
        raise Gs1Error(f"{number!r} is no GTIN: that is 8, 12, 13 or 14 digits.")
    if not has_right_check_digit(number):
        raise Gs1Error(f"GTIN {number} ends in {number[-1]}; its check digit would be {check_digit(number[:-1])}.")
    return number.zfill(14)


def sscc(company_prefix: str, serial: int, extension: int = 0) -> str:
    """The SSCC of a pallet: extension digit, company prefix, serial reference, check digit. Raises Gs1Error."""
    places = SSCC_LENGTH - 2 - len(company_prefix)
    if not 0 <= serial < 10**places:
        raise Gs1Error(f"Serial reference {serial} does not fit {places} digits behind {company_prefix}.")
    payload = f"{extension}{company_prefix}{serial:0{places}d}"
    return f"{payload}{check_digit(payload)}"


def gln(company_prefix: str, reference: int = 0) -> str:
    """The location number: company prefix, location reference, check digit. Raises Gs1Error."""
    places = GLN_LENGTH - 1 - len(company_prefix)
    if not 0 <= reference < 10**places:
        raise Gs1Error(f"Location reference {reference} does not fit {places} digits behind {company_prefix}.")
    payload = f"{company_prefix}{reference:0{places}d}"
    return f"{payload}{check_digit(payload)}"


@dataclass(frozen=True, slots=True)
class Pairing:
    """What an identifier must travel with (one of `needs`, where there are any), and what it must not."""

    needs: frozenset[str] = frozenset()
    never_with: frozenset[str] = frozenset()


_ITEM = frozenset({"01", "02"})
_BATCH = frozenset({"01", "02", "03", "8006", "8026"})

# AI 37 also needs the SSCC on the same pallet; that may stand in a second barcode of the label, so it is not asked of
# each scan.
_PAIRINGS: Mapping[str, Pairing] = MappingProxyType(
    {
        "01": Pairing(never_with=frozenset({"02", "37", "255"})),
        "02": Pairing(needs=frozenset({"37"})),
        "10": Pairing(needs=_BATCH),
        "11": Pairing(needs=_BATCH),
        "13": Pairing(needs=_BATCH),
        "15": Pairing(needs=_BATCH),
        "16": Pairing(needs=_BATCH),
        "17": Pairing(needs=_BATCH | {"255"}),
        "21": Pairing(needs=frozenset({"01", "03", "8006"})),
        "30": Pairing(needs=_ITEM),
        "37": Pairing(needs=frozenset({"02", "8026"})),
        "254": Pairing(needs=frozenset({"414"})),
        "7003": Pairing(needs=frozenset({"01", "02", "03"})),
    }
)
_TRADE_MEASURE = re.compile(r"3(1[0-6]|2[0-9]|5[0-267]|6[01456])[0-9]")
_LOGISTIC_MEASURE = re.compile(r"3(3[0-7]|4[0-9]|5[345]|6[23789])[0-9]")


def pairing_of(identifier: str) -> Pairing:
    """The pairing rule of an application identifier; one without a rule needs nothing."""
    if _TRADE_MEASURE.fullmatch(identifier):
        return Pairing(needs=_ITEM)
    if _LOGISTIC_MEASURE.fullmatch(identifier):
        return Pairing(needs=frozenset({"00", "01"}))
    return _PAIRINGS.get(identifier, Pairing())


def missing_partner(identifier: str, present: Collection[str]) -> frozenset[str]:
    """The identifiers of which one would have to be there too, or none where the rule is kept."""
    needs = pairing_of(identifier).needs
    return frozenset() if not needs or needs.intersection(present) else needs


def wrong_partner(identifier: str, present: Collection[str]) -> str:
    """An identifier that is there and must not be beside this one, or nothing."""
    return min(pairing_of(identifier).never_with.intersection(present), default="")
