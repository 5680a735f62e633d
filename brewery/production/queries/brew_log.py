"""The log of a brew day as it stands: every line with what it replaced, and marked where it is off the sheet."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django.db.models import QuerySet

from brewery.production.models import Brew, LogEntry
from brewery.production.queries.aims import Aims, aims_of
from brewery.science.bands import Band
from brewery.science.brew_readings import READINGS, Target
from brewery.science.contraction import cold_volume_hl
from brewery.science.process import MASH_REST_C, PITCHING_C, WORT_OXYGEN_MG_L
from brewery.science.properties import plain, with_unit
from brewery.science.units import MICRO

_Step, _Property = LogEntry.Step, LogEntry.Property
_USUAL: dict[tuple[str, str], Band] = {
    (_Step.MASH, _Property.TEMPERATURE): MASH_REST_C,
    (_Step.PITCHED, _Property.TEMPERATURE): PITCHING_C,
    (_Step.PITCHED, _Property.OXYGEN): WORT_OXYGEN_MG_L,
}
_L_PER_HL = 100

Readings = dict[tuple[str, str], LogEntry]
"""By step and property."""


@dataclass(frozen=True)
class ShownLine:
    """One line of a log. `target` is what it was to be, `deviation` and `doubt` are sentences, or empty."""

    entry: LogEntry
    target: Target | None
    deviation: str
    doubt: str

    @property
    def says(self) -> str:
        """What the line says, without its step."""
        return in_words(self.entry)

    @property
    def is_replaced(self) -> bool:
        """Whether a later line took its place."""
        return hasattr(self.entry, "replaced_by")


def log_entries() -> QuerySet[LogEntry]:
    """Return the lines of all logs, each with its person, what it replaced and what replaced it."""
    return LogEntry.objects.select_related("actor", "replaces", "replaced_by", "brew")


def log_of(brew: Brew) -> list[ShownLine]:
    """Return every line of the brew's log in the order in which it happened, replaced ones too."""
    return shown_lines(log_entries().filter(brew=brew).order_by("happened_at", "pk"), aims_of(brew))


def shown_lines(entries: Iterable[LogEntry], aims: Aims) -> list[ShownLine]:
    """Return the lines with what they were to be by the sheet."""
    return [_shown(entry, aims) for entry in entries]


def readings_of(brew: Brew) -> Readings:
    """Return the last reading of each property at each step that stands, by step and property."""
    return readings_by_brew([brew])[brew.pk]


def readings_by_brew(brews: Sequence[Brew]) -> dict[int, Readings]:
    """Return the readings of each brew, by its key."""
    found: dict[int, Readings] = {brew.pk: {} for brew in brews}
    standing = log_entries().filter(brew__in=brews, replaced_by=None).exclude(property="")
    for entry in standing.order_by("happened_at", "pk"):
        found[entry.brew_id][entry.step, entry.property] = entry
    return found


def figure_of(entry: LogEntry) -> float:
    """Return what a reading says, in the unit of its property; a volume as it is at 20 °C."""
    value = (entry.value_micro or 0) / MICRO
    return cold_volume_hl(value / _L_PER_HL) * _L_PER_HL if entry.is_hot and value else value


def cold_micro(hot_micro: int) -> int:
    """Return what a volume of boiling wort is at 20 °C, in microlitres. Raises OutOfRange."""
    litres = hot_micro / MICRO
    return round(cold_volume_hl(litres / _L_PER_HL) * _L_PER_HL * MICRO)


def in_words(entry: LogEntry) -> str:
    """Return what a line says, without its step."""
    if entry.value_micro is None:
        return entry.words
    measured = READINGS[entry.property]
    words = f" ({entry.words})" if entry.words else ""
    hot = ", hot" if entry.is_hot else ""
    return f"{measured.label} {with_unit(plain(entry.value_micro), measured)}{hot}{words}"


def _shown(entry: LogEntry, aims: Aims) -> ShownLine:
    if entry.value_micro is None:
        return ShownLine(entry, None, "", "")
    figure, target = figure_of(entry), aims.target_of(entry.step, entry.property, figure_of(entry))
    band = _USUAL.get((entry.step, entry.property))
    is_off = target is not None and target.is_missed_by(figure)
    return ShownLine(
        entry, target, _deviation(entry, figure, target) if is_off else "", band.doubt(figure) if band else ""
    )


def _deviation(entry: LogEntry, figure: float, target: Target | None) -> str:
    if target is None:
        return ""
    measured = READINGS[entry.property]
    told = with_unit(f"{figure:.4g}", measured)
    cold = " at 20 °C" if entry.is_hot else ""
    wanted, room = with_unit(f"{target.value:.4g}", measured), with_unit(f"{target.room:.2g}", measured)
    return f"{told}{cold}; the sheet says {wanted}, give or take {room}."
