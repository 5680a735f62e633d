"""Names of things as GS1 Digital Links: one spelling for each, what it is the lot of, and whether it can be one.

Sources: GS1 Digital Link URI Syntax 1.2, section 4.11; GS1 EPC Tag Data Standard, for the URNs; CBV 2.0, section 8.9,
for what of a link names a thing.
"""

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote, urlsplit

from brewery.science.gs1 import CSET_82, check_digit, has_right_check_digit

ROOT = "https://id.gs1.org"
LONGEST_LOT = 20

_QUALIFIERS = {"01": ("21", "10", "235"), "414": ("254",), "8006": ("21", "10"), "8010": ("8011",)}
_KEYS = frozenset({"00", "253", "255", "401", "402", "417", "8003", "8004", "8017", "8018", *_QUALIFIERS})
_DIGITS = {"00": 18, "01": 14, "414": 13, "417": 13, "8017": 18, "8018": 18}
_URN = re.compile(r"urn:epc:(?P<form>id|class|idpat):(?P<scheme>[a-z]+):(?P<rest>.+)")


@dataclass(frozen=True, slots=True)
class Link:
    """A GS1 key, and the qualifier that narrows it, where there is one."""

    key: str
    value: str
    qualifier: str = ""
    narrowed: str = ""

    @property
    def uri(self) -> str:
        """The canonical link: the domain of GS1, no query, nothing but what names the thing."""
        more = f"/{self.qualifier}/{_encoded(self.narrowed)}" if self.qualifier else ""
        return f"{ROOT}/{self.key}/{_encoded(self.value)}{more}"

    @property
    def fault(self) -> str:
        """Why GS1 cannot have given this out, as a sentence; empty where nothing is wrong."""
        length = _DIGITS.get(self.key)
        if length and not re.fullmatch(f"[0-9]{{{length}}}", self.value):
            return f"The key ({self.key}) has {length} digits."
        if length and not has_right_check_digit(self.value):
            return f"Its check digit would be {check_digit(self.value[:-1])}: read the number again."
        if self.qualifier == "10" and not self._is_lot():
            return f"A lot is 1 to {LONGEST_LOT} characters of GS1 character set 82."
        return ""

    def _is_lot(self) -> bool:
        return 1 <= len(self.narrowed) <= LONGEST_LOT and all(CSET_82.fullmatch(sign) for sign in self.narrowed)


def canonical(uri: str) -> str:
    """Return the one spelling of a GS1 name, whether URN or link; any other URI as it is."""
    link = link_of(uri)
    return link.uri if link else uri


def link_of(uri: str) -> Link | None:
    """Return the GS1 key that the URI names, or None where it names none."""
    if found := _URN.fullmatch(uri):
        return _of_urn(found["form"], found["scheme"], found["rest"])
    return _of_link(uri) if uri.startswith(("https://", "http://")) else None


def lot_named_by(uri: str) -> str:
    """Return the lot that the name of a class ends in: its (10), or what stands last in a name of somebody's own."""
    link = link_of(uri)
    if link:
        return link.narrowed if link.qualifier == "10" else ""
    return unquote(re.split(r"[/:#]", uri.rstrip("/"))[-1])


def _of_urn(form: str, scheme: str, rest: str) -> Link | None:
    company, _, after = rest.partition(".")
    item, _, serial = after.partition(".")
    if not re.fullmatch(r"[0-9]{4,12}", company):
        return None
    match form, scheme:
        case ("id" | "idpat", "sgtin") | ("class", "lgtin"):
            if not re.fullmatch(r"[0-9]+", item) or len(company + item) != 13:
                return None
            gtin = _checked(item[0] + company + item[1:])
            if (form, serial) == ("idpat", "*"):
                return Link("01", gtin)
            return Link("01", gtin, "21" if scheme == "sgtin" else "10", unquote(serial))
        case "id", "sgln" if re.fullmatch(r"[0-9]{12}", company + item):
            gln = _checked(company + item)
            return Link("414", gln) if serial == "0" else Link("414", gln, "254", unquote(serial))
        case "id", "pgln" if re.fullmatch(r"[0-9]{12}", company + after):
            return Link("417", _checked(company + after))
        case "id", "sscc" if re.fullmatch(r"[0-9]{17}", company + after):
            return Link("00", _checked(after[0] + company + after[1:]))
        case "id", "gsrn" | "gsrnp" if re.fullmatch(r"[0-9]{17}", company + after):
            return Link("8018" if scheme == "gsrn" else "8017", _checked(company + after))
        case "id", "grai" if re.fullmatch(r"[0-9]{12}", company + item):
            return Link("8003", "0" + _checked(company + item) + unquote(serial))
        case "id", "giai":
            return Link("8004", company + unquote(after))
        case "id", "gdti" if re.fullmatch(r"[0-9]{12}", company + item):
            return Link("253", _checked(company + item) + unquote(serial))
    return None


def _checked(payload: str) -> str:
    return f"{payload}{check_digit(payload)}"


def _of_link(uri: str) -> Link | None:
    """Read a link of any domain: the last key in its path, then the narrowest qualifier that belongs to it."""
    steps = urlsplit(uri).path.strip("/").split("/")
    places = [place for place, step in enumerate(steps[:-1]) if step in _KEYS and _may_be(step, steps[place + 1])]
    if not places:
        return None
    place = places[0]
    key, value = steps[place], unquote(steps[place + 1])
    pairs = dict(zip(steps[place + 2 :: 2], steps[place + 3 :: 2], strict=False))
    for qualifier in _QUALIFIERS.get(key, ()):
        if qualifier in pairs:
            return Link(key, value, qualifier, unquote(pairs[qualifier]))
    return Link(key, value)


def _may_be(key: str, value: str) -> bool:
    """Whether it looks like the key at all: somebody's own address may have a step that is called 01."""
    return bool(re.fullmatch(r"[0-9]{8,}" if key in _DIGITS else r"[0-9]{6}.*", value))


def _encoded(text: str) -> str:
    return quote(text, safe="-._~';=")
