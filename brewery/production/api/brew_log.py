"""The log of a brew: its lines, new ones, and corrections; and the brewhouse's own figures."""

from typing import Any, ClassVar

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import DecimalTextField, MomentField, TextField
from brewery.kernel.api.views import Recording, RecordList
from brewery.kernel.errors import NotFound
from brewery.production.models import Brew, LogEntry
from brewery.production.queries.aims import aims_of
from brewery.production.queries.brew_log import ShownLine, log_entries, shown_lines
from brewery.production.queries.brewhouse import Figure, figures_of
from brewery.production.queries.work import brew_of
from brewery.production.services.brew_log import LogLine, correct_log, write_in_log
from brewery.science.brew_readings import READINGS
from brewery.science.properties import NotAReading, plain, read
from inventory.api.parts import ReasonField

_DECIMALS = 6


class LogLineAnswer(serializers.Serializer[ShownLine]):
    """One line of a log. `deviation` and `doubt` are sentences, empty where there is nothing to say.

    `target` is what the sheet asks for, in the unit of the reading; a volume is compared at 20 °C.
    """

    id = serializers.IntegerField()
    step = serializers.ChoiceField(choices=LogEntry.Step.choices)
    property = serializers.ChoiceField(choices=LogEntry.Property.choices, allow_blank=True)
    value = serializers.CharField(allow_null=True)
    unit = serializers.CharField()
    is_hot = serializers.BooleanField()
    vessel = serializers.CharField()
    words = serializers.CharField()
    happened_at = serializers.DateTimeField()
    recorded_at = serializers.DateTimeField()
    actor = serializers.CharField()
    replaces = serializers.IntegerField(allow_null=True)
    replaced_by = serializers.IntegerField(allow_null=True)
    reason = serializers.CharField()
    target = serializers.FloatField(allow_null=True)
    deviation = serializers.CharField()
    doubt = serializers.CharField()

    def to_representation(self, line: ShownLine) -> dict[str, Any]:
        """Return the line as answers show it."""
        entry = line.entry
        return {
            "id": entry.pk,
            "step": entry.step,
            "property": entry.property,
            "value": None if entry.value_micro is None else plain(entry.value_micro),
            "unit": READINGS[entry.property].unit if entry.property else "",
            "is_hot": entry.is_hot,
            "vessel": entry.vessel,
            "words": entry.words,
            "happened_at": entry.happened_at,
            "recorded_at": entry.recorded_at,
            "actor": entry.actor.username,
            "replaces": entry.replaces_id,
            "replaced_by": entry.replaced_by.pk if line.is_replaced else None,
            "reason": entry.reason,
            "target": line.target and round(line.target.value, _DECIMALS),
            "deviation": line.deviation,
            "doubt": line.doubt,
        }


class LogLineAsked(serializers.Serializer[Any]):
    """A reading of a property, or words; a reading's value is a decimal as text, in the unit of the property."""

    happened_at = MomentField()
    step = serializers.ChoiceField(choices=LogEntry.Step.choices)
    property = serializers.ChoiceField(choices=LogEntry.Property.choices, required=False, allow_blank=True, default="")
    value = DecimalTextField(max_length=30, required=False, allow_blank=True, default="")
    is_hot = serializers.BooleanField(required=False, default=False)
    vessel = TextField(max_length=40, required=False, allow_blank=True, default="")
    words = TextField(max_length=200, required=False, allow_blank=True, default="")

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """Return what was read with one `line`. Raises ValidationError where the value is no number."""
        value = attrs.pop("value")
        moment = attrs.pop("happened_at")
        more: dict[str, Any] = {name: attrs.pop(name) for name in ("entry", "reason") if name in attrs}
        line = LogLine(value_micro=self._micro(attrs["property"], value) if value else None, **attrs)
        return {"line": line, "happened_at": moment, **more}

    def _micro(self, measured: str, value: str) -> int | None:
        if not measured:
            raise serializers.ValidationError({"property": "Say what was read."}, code="required")
        try:
            return read(READINGS[measured], value).value_micro
        except NotAReading as wrong:
            raise serializers.ValidationError({"value": str(wrong)}, code="invalid") from wrong


class CorrectionAsked(LogLineAsked):
    """The number of a line, what takes its place, and why."""

    entry = serializers.IntegerField(min_value=1, max_value=2**63 - 1)
    reason = ReasonField()


class ThisBrew:
    """A view below the address of one brew."""

    kwargs: dict[str, Any]

    def brew(self) -> Brew:
        """Return the brew that the address names. Raises NotFound."""
        return named_brew(self.kwargs["code"])


class BrewLog(ThisBrew, RecordList, Recording[LogEntry]):
    """The log of a brew, replaced lines too, the last written first; POST writes a line."""

    rights: ClassVar[dict[str, Right]] = {"GET": Right.VIEW_RECORDS, "POST": Right.BREW}
    queryset = log_entries()
    serializer_class = answered = LogLineAnswer
    asked = LogLineAsked

    def get_queryset(self) -> QuerySet[LogEntry]:
        """Return the lines of the brew that the address names."""
        return log_entries().filter(brew=self.brew())

    def paginate_queryset(self, queryset: Any) -> Any:
        """Return a page of the lines with what they were to be."""
        return shown_lines(super().paginate_queryset(queryset) or [], aims_of(self.brew()))

    def record(self, **asked: Any) -> LogEntry:
        """Write it."""
        return write_in_log(brew=self.brew(), **asked)

    def in_full(self, made: LogEntry) -> Any:
        """Return the line with what it was to be."""
        return shown(made)


class LogCorrections(ThisBrew, Recording[LogEntry]):
    """POST: put a line in the place of another, with a reason; the other stays on record."""

    right: ClassVar[Right] = Right.BREW
    queryset = log_entries()
    asked = CorrectionAsked
    answered = LogLineAnswer

    def record(self, **asked: Any) -> LogEntry:
        """Correct it."""
        number = asked.pop("entry")
        entry = log_entries().filter(brew=self.brew(), pk=number).first()
        if entry is None:
            raise NotFound(thing="line of this log", code=number, field="entry")
        return correct_log(entry=entry, **asked)

    def in_full(self, made: LogEntry) -> Any:
        """Return the line with what it was to be."""
        return shown(made)


class FigureAnswer(serializers.Serializer[Figure]):
    """One computed figure, or none, and from what it comes or what it needs."""

    key = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    value = serializers.FloatField(allow_null=True)
    unit = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]


class BrewFigures(ThisBrew, GenericAPIView[Any]):
    """Yield, losses and attenuation of a brew, each saying from which readings and draws it comes."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = FigureAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="brew_figures", responses=FigureAnswer(many=True))
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Answer the figures."""
        figures: Any = figures_of(self.brew())
        return Response(FigureAnswer(figures, many=True).data)


def named_brew(code: str) -> Brew:
    """Return the brew of that code with its sheet. Raises NotFound; no code holds a NUL."""
    found = None if "\x00" in code else brew_of(code)
    if found is None:
        raise NotFound(thing="brew", code=code)
    return found


def shown(entry: LogEntry) -> ShownLine:
    """Return the line as a log shows it."""
    fresh = log_entries().get(pk=entry.pk)
    return shown_lines([fresh], aims_of(fresh.brew))[0]
