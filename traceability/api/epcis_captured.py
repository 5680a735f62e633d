"""What suppliers and customers told by EPCIS, over the API: queried as the record is, and by the lot that it names."""

from drf_spectacular.utils import OpenApiParameter, extend_schema
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.codes import LotField
from traceability.api.epcis import DOCUMENT, QUERY, EpcisView, EventsAsked, page_of, wanted_by
from traceability.queries.epcis_captured import search_captured


class CapturedAsked(EventsAsked):
    """What a query narrows to."""

    lot = LotField(required=False, default=None)


class EpcisCaptured(EpcisView):
    """The events that were taken in, in the order in which they came, each as it was sent.

    With `lot`, those that name this lot of ours: by its supplier's number where the supplier sent them, or by our name.
    """

    asked = CapturedAsked

    @extend_schema(
        operation_id="epcis_captured_events",
        parameters=[*QUERY, OpenApiParameter("lot", str, description="Code of a lot of ours.")],
        responses={200: DOCUMENT},
    )
    def get(self, request: Request) -> Response:
        """Answer one page."""
        asked = self.read(request)
        page = search_captured(wanted_by(asked), lot=asked["lot"], most=asked["perPage"], place=asked["nextPageToken"])
        return page_of(request, page.events, page.next)
