"""The schemes that are known. Another country is another file, and a line here."""

from collections.abc import Mapping
from types import MappingProxyType

from brewery.science.duty.germany import Germany
from brewery.science.duty.schemes import DutyScheme
from brewery.science.duty.united_kingdom import UnitedKingdom
from brewery.science.duty.united_states import UnitedStates

_ALL: tuple[DutyScheme, ...] = (UnitedStates(), UnitedStates(is_short=True), Germany(), UnitedKingdom())
SCHEMES: Mapping[str, DutyScheme] = MappingProxyType({scheme.key: scheme for scheme in _ALL})
