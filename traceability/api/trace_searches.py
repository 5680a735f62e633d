"""Traces from whatever somebody scans or types: the answer of the trace page."""

from typing import Any, ClassVar

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.generics import GenericAPIView
from rest_framework.request import Request
from rest_framework.response import Response

from brewery.kernel.access import Right
from brewery.kernel.api.fields import MomentField, QuantityAnswer, quantity_of
from inventory.models import Link, Lot, Material
from inventory.models.dispositions import Disposition
from inventory.services.scans import LONGEST_SCAN
from traceability.api.traces import FollowedAnswer, PlaceAnswer
from traceability.queries.asking import NAMES, kinds_by_name
from traceability.queries.graph import Direction
from traceability.queries.report import place_as_data
from traceability.queries.starts import Sort, Start
from traceability.queries.tracing import SORTS, START, Narrowed, Traced, Tracing, in_order, narrowed
from traceability.services.traces import BOTH, WAYS, answer_to

REASONS = (START, *(way.value for way in Direction))


class SearchAsked(serializers.Serializer[Any]):
    """What to trace, in one text, and what of the lots found is wanted in which order."""

    q = serializers.CharField(max_length=LONGEST_SCAN)
    at = MomentField(required=False, default=None, allow_null=True, help_text="Of a place: what lay there then.")
    way = serializers.ChoiceField(choices=WAYS, default=BOTH)
    follow = serializers.CharField(required=False, default="", max_length=100, help_text=f"{', '.join(NAMES)}.")
    as_of = MomentField(required=False, default=None, allow_null=True)
    since = serializers.DateField(required=False, default=None)
    until = serializers.DateField(required=False, default=None)
    place = serializers.CharField(required=False, default="", max_length=120)
    disposition = serializers.ChoiceField(choices=Disposition.choices, required=False, default="")
    kind = serializers.ChoiceField(choices=Material.Kind.choices, required=False, default="")
    sort = serializers.ChoiceField(choices=[sign + name for name in SORTS for sign in ("", "-")], default="made")


class StartAnswer(serializers.Serializer[Start]):
    """One thing that can be meant; `q` is the text that names it and nothing else."""

    q = serializers.CharField(source="named")
    sort = serializers.ChoiceField(choices=[(sort.value, sort.value) for sort in Sort])
    words = serializers.CharField()


class TracedAnswer(serializers.Serializer[Any]):
    """One lot: why it is here, how much there ever was of it, and its share as the trace of one lot tells it."""

    lot = serializers.CharField()
    way = serializers.ChoiceField(choices=REASONS)
    material = serializers.CharField()
    kind = serializers.ChoiceField(choices=Material.Kind.choices)
    made_at = serializers.DateTimeField()
    disposition = serializers.ChoiceField(choices=Disposition.choices)
    quantity = QuantityAnswer()
    share = serializers.FloatField(allow_null=True)
    where = PlaceAnswer(many=True)


class SearchAnswer(serializers.Serializer[Any]):
    """The trace; or `choices` where the text can mean several things."""

    start = StartAnswer(allow_null=True)
    at = serializers.DateTimeField(allow_null=True)
    choices = StartAnswer(many=True)
    lots = TracedAnswer(many=True)
    links = FollowedAnswer(many=True)


class TraceSearches(GenericAPIView[Any]):
    """One text, whatever it names: a lot, a place and maybe when, a supplier's lot, a material, a party, a label."""

    right: ClassVar[Right] = Right.VIEW_RECORDS
    serializer_class = SearchAnswer
    pagination_class = None
    filter_backends = ()

    @extend_schema(operation_id="search_trace", parameters=[SearchAsked])
    def get(self, request: Request) -> Response:
        """Answer it."""
        asked = SearchAsked(data=request.query_params)
        asked.is_valid(raise_exception=True)
        told = asked.validated_data
        kinds = kinds_by_name(told["follow"])
        answer = answer_to(told["q"], at=told["at"], way=told["way"], kinds=kinds, as_of=told["as_of"])
        answer.or_refusal(told["q"], "q")
        wanted = Narrowed(*(told[name] for name in ("since", "until", "place", "disposition", "kind")))
        rows = in_order(narrowed(answer.found.rows, wanted), told["sort"]) if answer.found else []
        shown = {
            "start": answer.start,
            "at": answer.at,
            "choices": answer.choices,
            "lots": [_row(row) for row in rows],
            "links": _links(answer.found) if answer.found else [],
        }
        return Response(SearchAnswer(shown).data)


def _row(row: Traced) -> dict[str, Any]:
    lot = row.lot
    return {
        "lot": lot.code,
        "way": row.way,
        "material": lot.material.code,
        "kind": lot.material.kind,
        "made_at": lot.made_at,
        "disposition": lot.disposition,
        "quantity": quantity_of(lot.total_micro, lot.material.base_unit),
        "share": row.share,
        "where": [place_as_data(place, lot) for place in row.places],
    }


def _links(found: Tracing) -> list[dict[str, Any]]:
    lots: dict[int, Lot] = {row.lot.pk: row.lot for row in found.rows}
    return [
        {
            "parent": lots[step.parent].code,
            "child": lots[step.child].code,
            "kind": Link.Kind(step.kind).label,
            "went_across": quantity_of(step.quantity_micro, lots[step.parent].material.base_unit),
        }
        for step in found.steps
    ]
