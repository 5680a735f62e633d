"""THE access table: who may do what at every address of the service. What is not in it fails.

A row says method, route, an address of that route, and who is let in; everybody else is refused. "" is a person
without a role, None is nobody. Reads are answered 200, writes along a chain 201.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

import pytest
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver
from rest_framework.response import Response
from rest_framework.test import APIRequestFactory, force_authenticate
from rest_framework.views import APIView

from brewery.kernel.access import Right, Role
from inventory.models import Event
from tests.api.chain import CHAIN, DRAFTED, SSCC
from tests.api.client import ROOT, Api, problem_of
from tests.api.things import keys_of_things
from tests.brewhouse import Brewhouse

R, B, Q, C, A, U = "receiving", "brewing", "quality", "accounting", "administration", "auditor"
READERS = frozenset({R, B, Q, C, A, U})
PEOPLE = frozenset({*READERS, ""})
EVERYBODY: frozenset[str | None] = frozenset({*PEOPLE, None})
API = "api/v1/"
LINE_ROUTE = "receiving/<int:delivery>/lines/<int:line>/"
ORDER_PAGE = "dispatch/orders/<int:order>/"
RETURN_PAGE = "dispatch/returns/<int:back>/"
CUSTOMER_PAGE = "customers/<int:customer>/"
SHEET_PAGE = "brewing/sheets/<int:sheet>/"


@dataclass(frozen=True)
class Row:
    """One line of the table. `status` is what those who are let in are answered."""

    method: str
    route: str
    address: str
    who: frozenset[Any]
    status: int = 200


PAGES = (
    Row("GET", "healthz", "healthz", EVERYBODY),
    Row("GET", "readyz", "readyz", EVERYBODY),
    Row("GET", "jobsz", "jobsz", EVERYBODY),
    Row("GET", "jobs/", "jobs/", frozenset({A})),
    Row("GET", "", "", READERS),
    Row("GET", "lots/", "lots/", READERS),
    Row("GET", "lots/<int:lot>/", "lots/{lot}/", READERS),
    Row("GET", "lots/<path:code>/audit/", "lots/KEG1/audit/", READERS),
    Row("GET", "lots/<path:code>/audit.pdf", "lots/KEG1/audit.pdf", READERS),
    Row("GET", "events/<int:event>/", "events/{shipment}/", READERS),
    Row("GET", "usage/", "usage/", READERS),
    Row("GET", "usage/sheets/", "usage/sheets/", READERS),
    Row("GET", "usage/<int:material>/", "usage/{material}/", READERS),
    *(
        Row("GET", f"usage/{route}", f"usage/{address}?first=2026-03-01&last=2026-03-31", READERS)
        for route, address in (
            ("book.xlsx", "book.xlsx"),
            ("table.csv", "table.csv"),
            ("sheets.csv", "sheets.csv"),
            ("<int:material>/<str:column>/", "{material}/used/"),
        )
    ),
    Row("GET", "duty/", "duty/", READERS),
    Row("GET", "duty/rates/<str:scheme>/", "duty/rates/us/", READERS),
    Row("GET", "duty/standings/", "duty/standings/", READERS),
    Row("GET", "duty/purposes/", "duty/purposes/", READERS),
    Row("GET", "duty/archives/<int:closing>.zip", "duty/archives/{duty}.zip", READERS),
    *(
        Row("GET", f"duty/<str:scheme>/<str:first>/<str:last>/{route}", f"duty/us/2026-03-01/2026-03-31/{end}", READERS)
        for route, end in (
            ("", ""),
            ("record.xlsx", "record.xlsx"),
            ("worksheet.pdf", "worksheet.pdf"),
            ("worksheet/", "worksheet/"),
            ("<str:line>/", "removed/"),
        )
    ),
    Row("GET", "lots/<int:lot>/label/", "lots/{lot}/label/", READERS),
    Row("GET", "alerts/", "alerts/", READERS),
    Row("GET", "alerts/count/", "alerts/count/", READERS),
    Row("GET", "alerts/mail/", "alerts/mail/", frozenset({R, B, Q, C, A})),
    Row("GET", "alerts/webhooks/", "alerts/webhooks/", frozenset({A})),
    Row("GET", "alerts/webhooks/<int:webhook>/", "alerts/webhooks/1/", frozenset({A}), 404),
    Row("GET", "alerts/<int:alert>/", "alerts/1/", READERS, 404),
    Row("GET", "trace/", "trace/", READERS),
    Row("GET", "trace/drawing.svg", "trace/drawing.svg", READERS, 400),
    Row("GET", "trace/table.csv", "trace/table.csv", READERS, 400),
    Row("GET", "contamination/", "contamination/", READERS),
    Row("GET", "lots/<path:code>/postings/", "lots/KEG1/postings/", READERS),
    Row("GET", "lots/<path:code>/balance/", "lots/KEG1/balance/", READERS),
    Row("GET", "quality/common-cause/", "quality/common-cause/", READERS),
    Row("GET", "holds/", "holds/", READERS),
    Row("GET", "holds/new/", "holds/new/", READERS),
    Row("GET", "holds/<int:hold>/", "holds/{hold}/", READERS),
    Row("GET", "quality/proof/", "quality/proof/", READERS),
    Row("GET", "recalls/", "recalls/", READERS),
    Row("GET", "recalls/new/", "recalls/new/", frozenset({Q})),
    Row("GET", "recalls/<int:recall>/", "recalls/{recall}/", READERS),
    *(
        Row("GET", f"recalls/<int:recall>/report.{ending}", f"recalls/{{recall}}/report.{ending}", READERS)
        for ending in ("pdf", "xlsx", "zip")
    ),
    *(
        Row("GET", f"recalls/<int:recall>/{step}/", f"recalls/{{recall}}/{step}/", frozenset({Q}))
        for step in ("class", "check", "note", "task", "end")
    ),
    Row("GET", "recalls/tasks/<int:task>/done/", "recalls/tasks/{task}/done/", frozenset({Q})),
    Row("GET", "scan/", "scan/", READERS),
    Row("GET", "places/<int:place>/", "places/{place}/", READERS),
    Row("GET", "places/<int:place>/temperature/", "places/{place}/temperature/", frozenset({A})),
    Row("GET", "places/<int:place>/label/", "places/{place}/label/", READERS),
    Row("GET", "pallets/", "pallets/", READERS),
    Row("GET", "pallets/new/", "pallets/new/", frozenset({R, B})),
    Row("GET", "pallets/<str:sscc>/", f"pallets/{SSCC}/", READERS),
    Row("GET", "pallets/<str:sscc>/label/", f"pallets/{SSCC}/label/", READERS),
    Row("GET", "pallets/<str:sscc>/shipment/", f"pallets/{SSCC}/shipment/", frozenset({R})),
    Row("GET", "trade-items/", "trade-items/", READERS),
    Row("GET", "trade-items/new/", "trade-items/new/", frozenset({A})),
    Row("GET", "counts/", "counts/", READERS),
    Row("GET", "counts/<int:count>/", "counts/{count}/", READERS),
    Row("GET", "stock/", "stock/", READERS),
    Row("GET", "stock/lots/", "stock/lots/", READERS),
    Row("GET", "stock/lots/<int:lot>/", "stock/lots/{lot}/", READERS),
    Row("GET", "stock/lots/<int:lot>/move/", "stock/lots/{lot}/move/", frozenset({R, B})),
    Row("GET", "stock/lots/<int:lot>/reserve/", "stock/lots/{lot}/reserve/", frozenset({R, B})),
    Row("GET", "stock/lots/<int:lot>/sample/", "stock/lots/{lot}/sample/", frozenset({B, Q})),
    Row("GET", "stock/lots/<int:lot>/destroy/", "stock/lots/{lot}/destroy/", frozenset({Q})),
    Row("GET", "reordering/", "reordering/", READERS),
    Row("GET", "reordering/<int:material>/", "reordering/999/", READERS, 404),
    Row("GET", "reordering/<int:material>/setting/", "reordering/999/setting/", frozenset({R}), 404),
    Row("GET", "contracts/", "contracts/", READERS),
    Row("GET", "contracts/new/", "contracts/new/", frozenset({R})),
    Row("GET", "contracts/<int:contract>/", "contracts/999/", READERS, 404),
    Row("GET", "order-drafts/", "order-drafts/", READERS),
    Row("GET", "order-drafts/<int:draft>/", "order-drafts/999/", READERS, 404),
    Row("GET", "climate/", "climate/", READERS),
    Row("GET", "climate/file/", "climate/file/", frozenset({R, B, Q, A})),
    Row("GET", "climate/<int:place>/", "climate/{place}/", READERS),
    Row("GET", "climate/<int:place>/correction/", "climate/{place}/correction/", frozenset({Q, A})),
    Row("GET", "climate/<int:place>/limit/", "climate/{place}/limit/", frozenset({Q, A})),
    Row("GET", "keeping/", "keeping/", READERS),
    Row("GET", "keeping/lots/<int:lot>/", "keeping/lots/{lot}/", READERS),
    Row("GET", "keeping/lots/<int:lot>/pack/", "keeping/lots/{lot}/pack/", frozenset({R, B})),
    Row("GET", "keeping/lots/<int:lot>/rate/", "keeping/lots/{lot}/rate/", frozenset({Q, A})),
    Row("GET", "stock/lots/<int:lot>/cost/", "stock/lots/{lot}/cost/", frozenset({C})),
    Row("GET", "stock/materials/<int:material>/value/", "stock/materials/{material}/value/", frozenset({C})),
    Row("GET", "stock/opening/", "stock/opening/", frozenset({A})),
    Row("GET", "stock/places/", "stock/places/", READERS),
    Row("GET", "stock/export/", "stock/export/", READERS, 400),
    Row("GET", "stock/materials/<int:material>/", "stock/materials/{material}/", READERS),
    Row("GET", "dispatch/", "dispatch/", READERS),
    Row("GET", "dispatch/orders/new/", "dispatch/orders/new/", frozenset({R})),
    Row("GET", ORDER_PAGE, "dispatch/orders/{customer_order}/", READERS),
    Row("GET", f"{ORDER_PAGE}picking/", "dispatch/orders/{customer_order}/picking/", READERS),
    Row("GET", "dispatch/shipments/<int:event>/", "dispatch/shipments/{shipment}/", READERS),
    Row("GET", "dispatch/shipments/<int:event>/note/", "dispatch/shipments/{shipment}/note/", READERS),
    Row("GET", "dispatch/returns/", "dispatch/returns/", READERS),
    Row("GET", RETURN_PAGE, "dispatch/returns/{customer_return}/", READERS),
    Row("GET", "customers/", "customers/", READERS),
    Row("GET", CUSTOMER_PAGE, "customers/{customer}/", READERS),
    Row("GET", "brewing/", "brewing/", READERS),
    Row("GET", "brewing/using-up/", "brewing/using-up/", READERS),
    Row("GET", "brewing/plans/<path:code>/", "brewing/plans/P9/", READERS, 404),
    Row("GET", "brewing/brews/", "brewing/brews/", READERS),
    Row("GET", "brewing/brews/<path:code>/", "brewing/brews/B1/", READERS),
    Row("GET", "brewing/consistency/", "brewing/consistency/", READERS),
    Row("GET", "packaging/", "packaging/", READERS),
    Row("GET", "packaging/runs/new/", "packaging/runs/new/", frozenset({B})),
    Row("GET", "packaging/rules/", "packaging/rules/", READERS),
    Row("GET", "packaging/rules/new/", "packaging/rules/new/", frozenset({Q, A})),
    Row("GET", "packaging/rules/preview/", "packaging/rules/preview/", READERS),
    Row("GET", "packaging/samples/", "packaging/samples/", READERS),
    Row("GET", "packaging/samples/new/", "packaging/samples/new/", frozenset({B, Q})),
    Row("GET", "packaging/samples/<int:sample>/", "packaging/samples/999999/", frozenset({Q}), 404),
    Row("GET", "packaging/runs/<path:code>/", "packaging/runs/R1/", READERS),
    Row("GET", "cellar/", "cellar/", READERS),
    Row("GET", "cellar/<path:code>/", "cellar/FV1/", READERS),
    Row("GET", "cellar/<path:code>/pitch/", "cellar/FV1/pitch/", frozenset({B})),
    Row("GET", "cellar/<path:code>/harvest/", "cellar/FV1/harvest/", frozenset({B})),
    Row("GET", "cellar/logger-file/", "cellar/logger-file/", frozenset({B})),
    Row("GET", "cellar/<path:code>/readings/", "cellar/FV1/readings/", READERS),
    Row(
        "GET",
        "cellar/<path:code>/reading-correction/",
        "cellar/FV1/reading-correction/",
        frozenset({B}),
        404,
    ),
    Row("GET", "cellar/<path:code>/transfer/", "cellar/FV1/transfer/", frozenset({B})),
    Row("GET", "cellar/<path:code>/kraeusen/", "cellar/FV1/kraeusen/", frozenset({B})),
    Row("GET", "cellar/<path:code>/dry-hop/", "cellar/FV1/dry-hop/", frozenset({B})),
    Row("GET", "cellar/<path:code>/addition/", "cellar/FV1/addition/", frozenset({B})),
    Row("GET", "cellar/<path:code>/dilution/", "cellar/FV1/dilution/", frozenset({B})),
    Row("GET", "cellar/<path:code>/filtration/", "cellar/FV1/filtration/", frozenset({B})),
    Row("GET", "cellar/<path:code>/gauge/", "cellar/FV1/gauge/", frozenset({R, B, Q, C})),
    Row("GET", "cellar/<path:code>/dump/", "cellar/FV1/dump/", frozenset({Q})),
    Row("GET", "cellar/<path:code>/undo/", "cellar/FV1/undo/", frozenset({R, B, Q, A})),
    Row("GET", "cellar/<path:code>/cleaning/", "cellar/FV1/cleaning/", frozenset({R, B})),
    Row("GET", "cellar/<path:code>/cleaning-withdrawal/", "cellar/FV1/cleaning-withdrawal/", frozenset({R, B})),
    Row("GET", "cellar/<path:code>/out-of-service/", "cellar/FV1/out-of-service/", frozenset({R, B})),
    Row("GET", "cellar/<path:code>/into-service/", "cellar/FV1/into-service/", frozenset({R, B})),
    Row("GET", "orders/", "orders/", READERS),
    Row("GET", "orders/new/", "orders/new/", frozenset({R})),
    Row("GET", "orders/<int:order>/", "orders/{order}/", READERS),
    Row("GET", "receiving/", "receiving/", READERS),
    Row("GET", "receiving/new/", "receiving/new/", frozenset({R})),
    Row("GET", "receiving/sample.csv", "receiving/sample.csv", READERS),
    Row("GET", "receiving/<int:delivery>/", "receiving/{delivery}/", READERS),
    Row("GET", "receiving/<int:delivery>/labels/", "receiving/{delivery}/labels/", READERS, 409),
    Row("GET", "attachments/<int:attachment>/", "attachments/{attachment}/", READERS),
    Row("GET", "certificates/", "certificates/", READERS),
    Row("GET", "certificates/new/", "certificates/new/", frozenset({R, Q})),
    Row("GET", "certificates/files/", "certificates/files/", frozenset({R, Q})),
    Row("GET", "certificates/<int:certificate>/", "certificates/{certificate}/", READERS),
    Row("GET", "materials/", "materials/", READERS),
    Row("GET", "materials/<path:code>/", "materials/PILS/", READERS),
    Row("GET", "materials/<path:code>/limits/", "materials/PILS/limits/", READERS),
    Row("GET", "brewing/brews/new/", "brewing/brews/new/", frozenset({B})),
    Row("GET", "brewing/brews/<path:code>/knock-out/", "brewing/brews/B1/knock-out/", frozenset({B}), 303),
    Row("GET", "brewing/sheets/", "brewing/sheets/", READERS),
    Row("GET", "brewing/sheets/new/", "brewing/sheets/new/", frozenset({B})),
    Row("GET", f"{SHEET_PAGE}", "brewing/sheets/{sheet}/", READERS),
    Row("GET", f"{SHEET_PAGE}change/", "brewing/sheets/{sheet}/change/", frozenset({B})),
    Row("GET", f"{SHEET_PAGE}comparison/", "brewing/sheets/{sheet}/comparison/", READERS, 404),
    Row("GET", f"{SHEET_PAGE}print/", "brewing/sheets/{sheet}/print/", READERS),
    Row("GET", "yeast/", "yeast/", READERS),
    Row("GET", "yeast/strains/<path:code>/", "yeast/strains/YEAST/", READERS),
    Row("GET", "yeast/lots/<int:lot>/", "yeast/lots/{yeast}/", READERS),
    Row("GET", "yeast/lots/<int:lot>/count/", "yeast/lots/{yeast}/count/", frozenset({B, Q})),
    Row("GET", "yeast/lots/<int:lot>/undo/", "yeast/lots/{yeast}/undo/", frozenset({R, B, Q, A})),
    Row("GET", "yeast/propagation/", "yeast/propagation/", frozenset({B})),
    Row("GET", "quality/", "quality/", READERS),
    Row("GET", "quality/lots/<int:lot>/return/", "quality/lots/{lot}/return/", frozenset({R, Q})),
)
FORMS = (
    Row("POST", "places/<int:place>/temperature/", "places/{place}/temperature/", frozenset({A}), 400),
    Row("POST", "packaging/runs/new/", "packaging/runs/new/", frozenset({B}), 400),
    Row("POST", "packaging/rules/new/", "packaging/rules/new/", frozenset({Q, A}), 400),
    Row("POST", "packaging/samples/new/", "packaging/samples/new/", frozenset({B, Q}), 400),
    Row("POST", "packaging/samples/<int:sample>/", "packaging/samples/999999/", frozenset({Q}), 404),
    Row("POST", "packaging/runs/<path:code>/draws/", "packaging/runs/R1/draws/", frozenset({B}), 400),
    Row("POST", "packaging/runs/<path:code>/returns/", "packaging/runs/R1/returns/", frozenset({B}), 400),
    Row("POST", "packaging/runs/<path:code>/fills/", "packaging/runs/R1/fills/", frozenset({B}), 400),
    Row("POST", "packaging/runs/<path:code>/undos/", "packaging/runs/R1/undos/", frozenset({R, B, Q, A}), 400),
    Row("POST", "packaging/runs/<path:code>/end/", "packaging/runs/R1/end/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/pitch/", "cellar/FV1/pitch/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/harvest/", "cellar/FV1/harvest/", frozenset({B}), 400),
    Row("POST", "cellar/logger-file/", "cellar/logger-file/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/readings/", "cellar/FV1/readings/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/reading-correction/", "cellar/FV1/reading-correction/", frozenset({B}), 404),
    Row("POST", "cellar/<path:code>/transfer/", "cellar/FV1/transfer/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/kraeusen/", "cellar/FV1/kraeusen/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/dry-hop/", "cellar/FV1/dry-hop/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/addition/", "cellar/FV1/addition/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/dilution/", "cellar/FV1/dilution/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/filtration/", "cellar/FV1/filtration/", frozenset({B}), 400),
    Row("POST", "cellar/<path:code>/gauge/", "cellar/FV1/gauge/", frozenset({R, B, Q, C}), 400),
    Row("POST", "cellar/<path:code>/dump/", "cellar/FV1/dump/", frozenset({Q}), 400),
    Row("POST", "cellar/<path:code>/undo/", "cellar/FV1/undo/", frozenset({R, B, Q, A}), 400),
    Row("POST", "cellar/<path:code>/cleaning/", "cellar/FV1/cleaning/", frozenset({R, B}), 400),
    Row("POST", "cellar/<path:code>/cleaning-withdrawal/", "cellar/FV1/cleaning-withdrawal/", frozenset({R, B}), 400),
    Row("POST", "cellar/<path:code>/out-of-service/", "cellar/FV1/out-of-service/", frozenset({R, B}), 400),
    Row("POST", "cellar/<path:code>/into-service/", "cellar/FV1/into-service/", frozenset({R, B}), 400),
    Row("POST", "quality/proof/", "quality/proof/", frozenset({Q}), 400),
    Row("POST", "jobs/", "jobs/", frozenset({A}), 400),
    Row("POST", "alerts/mail/", "alerts/mail/", frozenset({R, B, Q, C, A}), 400),
    Row("POST", "alerts/webhooks/", "alerts/webhooks/", frozenset({A}), 400),
    Row("POST", "alerts/webhooks/<int:webhook>/", "alerts/webhooks/1/", frozenset({A}), 404),
    Row("POST", "alerts/<int:alert>/", "alerts/1/", frozenset({R, B, Q, C, A}), 404),
    Row("POST", "recalls/new/", "recalls/new/", frozenset({Q}), 400),
    *(
        Row("POST", f"recalls/<int:recall>/{step}/", f"recalls/{{recall}}/{step}/", frozenset({Q}), 400)
        for step in ("class", "check", "note", "task", "end")
    ),
    Row("POST", "recalls/tasks/<int:task>/done/", "recalls/tasks/{task}/done/", frozenset({Q}), 400),
    Row("POST", "duty/<str:scheme>/<str:first>/<str:last>/", "duty/us/2026-03-01/2026-03-31/", frozenset({C}), 400),
    Row(
        "POST",
        "duty/<str:scheme>/<str:first>/<str:last>/worksheet/",
        "duty/us/2026-03-01/2026-03-31/worksheet/",
        frozenset({C}),
        400,
    ),
    Row("POST", "duty/rates/<str:scheme>/", "duty/rates/us/", frozenset({C}), 400),
    Row("POST", "duty/standings/", "duty/standings/", frozenset({C}), 400),
    Row("POST", "duty/purposes/", "duty/purposes/", frozenset({C}), 400),
    Row("POST", "holds/new/", "holds/new/", frozenset({Q}), 400),
    Row("POST", "holds/<int:hold>/", "holds/{hold}/", frozenset({Q}), 400),
    Row("POST", "stock/lots/<int:lot>/move/", "stock/lots/{lot}/move/", frozenset({R, B}), 400),
    Row("POST", "stock/lots/<int:lot>/reserve/", "stock/lots/{lot}/reserve/", frozenset({R, B}), 400),
    Row("POST", "stock/lots/<int:lot>/sample/", "stock/lots/{lot}/sample/", frozenset({B, Q}), 400),
    Row("POST", "stock/lots/<int:lot>/destroy/", "stock/lots/{lot}/destroy/", frozenset({Q}), 400),
    Row(
        "POST",
        "stock/reservations/<int:reservation>/letting-go/",
        "stock/reservations/{reservation}/letting-go/",
        frozenset({R, B}),
        400,
    ),
    Row("POST", "reordering/", "reordering/", frozenset({R}), 400),
    Row("POST", "reordering/<int:material>/setting/", "reordering/999/setting/", frozenset({R}), 404),
    Row("POST", "contracts/new/", "contracts/new/", frozenset({R}), 400),
    Row("POST", "contracts/<int:contract>/", "contracts/999/", frozenset({R}), 404),
    Row("POST", "order-drafts/<int:draft>/", "order-drafts/999/", frozenset({R}), 404),
    Row("POST", "climate/file/", "climate/file/", frozenset({R, B, Q, A}), 400),
    Row("POST", "climate/<int:place>/correction/", "climate/{place}/correction/", frozenset({Q, A}), 400),
    Row("POST", "climate/<int:place>/limit/", "climate/{place}/limit/", frozenset({Q, A}), 400),
    Row("POST", "keeping/lots/<int:lot>/pack/", "keeping/lots/{lot}/pack/", frozenset({R, B}), 400),
    Row("POST", "keeping/lots/<int:lot>/rate/", "keeping/lots/{lot}/rate/", frozenset({Q, A}), 400),
    Row("POST", "stock/lots/<int:lot>/cost/", "stock/lots/{lot}/cost/", frozenset({C}), 400),
    Row("POST", "stock/opening/", "stock/opening/", frozenset({A}), 400),
    Row("POST", "counts/", "counts/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/entries/", "counts/{count}/entries/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/finds/", "counts/{count}/finds/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/handing-in/", "counts/{count}/handing-in/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/booking/", "counts/{count}/booking/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/recounting/", "counts/{count}/recounting/", frozenset({R, B, Q, C}), 400),
    Row("POST", "counts/<int:count>/discarding/", "counts/{count}/discarding/", frozenset({R, B, Q, C}), 400),
    Row("POST", "pallets/new/", "pallets/new/", frozenset({R, B}), 400),
    Row("POST", "pallets/<str:sscc>/move/", f"pallets/{SSCC}/move/", frozenset({R, B}), 400),
    Row("POST", "pallets/<str:sscc>/load/", f"pallets/{SSCC}/load/", frozenset({R, B}), 400),
    Row("POST", "pallets/<str:sscc>/unload/", f"pallets/{SSCC}/unload/", frozenset({R, B}), 400),
    Row("POST", "dispatch/orders/new/", "dispatch/orders/new/", frozenset({R}), 400),
    Row("POST", f"{ORDER_PAGE}change/", "dispatch/orders/{customer_order}/change/", frozenset({R}), 400),
    Row("POST", f"{ORDER_PAGE}call-off/", "dispatch/orders/{customer_order}/call-off/", frozenset({R}), 400),
    Row("POST", f"{ORDER_PAGE}shipment/", "dispatch/orders/{customer_order}/shipment/", frozenset({R}), 400),
    Row("POST", f"{ORDER_PAGE}undo/", "dispatch/orders/{customer_order}/undo/", frozenset({R, B, Q, A}), 400),
    Row("POST", f"{ORDER_PAGE}picking/pick/", "dispatch/orders/{customer_order}/picking/pick/", frozenset({R}), 400),
    Row(
        "POST",
        f"{ORDER_PAGE}picking/put-back/",
        "dispatch/orders/{customer_order}/picking/put-back/",
        frozenset({R}),
        400,
    ),
    Row("POST", "dispatch/returns/", "dispatch/returns/", frozenset({R}), 400),
    Row("POST", f"{RETURN_PAGE}restock/", "dispatch/returns/{customer_return}/restock/", frozenset({R}), 400),
    Row("POST", f"{RETURN_PAGE}destruction/", "dispatch/returns/{customer_return}/destruction/", frozenset({Q}), 400),
    Row("POST", f"{RETURN_PAGE}undo/", "dispatch/returns/{customer_return}/undo/", frozenset({R, B, Q, A}), 400),
    Row("POST", f"{RETURN_PAGE}rework/", "dispatch/returns/{customer_return}/rework/", frozenset({B}), 400),
    Row("POST", f"{CUSTOMER_PAGE}contact/", "customers/{customer}/contact/", frozenset({Q, A}), 400),
    Row("POST", f"{CUSTOMER_PAGE}contact-end/", "customers/{customer}/contact-end/", frozenset({Q, A}), 400),
    Row("POST", f"{CUSTOMER_PAGE}minimum-life/", "customers/{customer}/minimum-life/", frozenset({Q, A}), 400),
    Row("POST", "pallets/<str:sscc>/shipment/", f"pallets/{SSCC}/shipment/", frozenset({R}), 400),
    Row("POST", "trade-items/new/", "trade-items/new/", frozenset({A}), 400),
    Row("POST", "brewing/", "brewing/", frozenset({B}), 400),
    Row("POST", "brewing/using-up/", "brewing/using-up/", frozenset({B}), 400),
    Row("POST", "brewing/plans/<path:code>/change/", "brewing/plans/P9/change/", frozenset({B}), 404),
    Row("POST", "brewing/plans/<path:code>/keeping/", "brewing/plans/P9/keeping/", frozenset({B}), 404),
    Row("POST", "brewing/plans/<path:code>/start/", "brewing/plans/P9/start/", frozenset({B}), 404),
    Row("POST", "brewing/plans/<path:code>/call-off/", "brewing/plans/P9/call-off/", frozenset({B}), 404),
    Row("POST", "brewing/brews/<path:code>/draws/", "brewing/brews/B1/draws/", frozenset({B}), 400),
    Row("POST", "brewing/brews/<path:code>/returns/", "brewing/brews/B1/returns/", frozenset({B}), 400),
    Row("POST", "brewing/brews/<path:code>/undos/", "brewing/brews/B1/undos/", frozenset({R, B, Q, A}), 400),
    Row("POST", "brewing/brews/<path:code>/knock-out/", "brewing/brews/B1/knock-out/", frozenset({B}), 400),
    Row(
        "POST",
        "brewing/brews/<path:code>/knock-out-undo/",
        "brewing/brews/B1/knock-out-undo/",
        frozenset({R, B, Q, A}),
        400,
    ),
    Row("POST", "brewing/brews/new/", "brewing/brews/new/", frozenset({B}), 400),
    Row("POST", "brewing/brews/<path:code>/log/", "brewing/brews/B1/log/", frozenset({B}), 400),
    Row("POST", "brewing/brews/<path:code>/log/<int:entry>/", "brewing/brews/B1/log/1/", frozenset({B}), 400),
    Row("POST", "brewing/brews/<path:code>/papers/", "brewing/brews/B1/papers/", frozenset({B}), 400),
    Row("POST", "orders/new/", "orders/new/", frozenset({R}), 400),
    Row("POST", "certificates/new/", "certificates/new/", frozenset({R, Q}), 400),
    Row("POST", "certificates/files/", "certificates/files/", frozenset({R, Q}), 400),
    Row("POST", "materials/<path:code>/", "materials/PILS/", frozenset({Q, A}), 400),
    Row("POST", "materials/<path:code>/limits/", "materials/PILS/limits/", frozenset({Q, A}), 400),
    Row("POST", "brewing/sheets/new/", "brewing/sheets/new/", frozenset({B}), 400),
    Row("POST", f"{SHEET_PAGE}change/", "brewing/sheets/{sheet}/change/", frozenset({B}), 400),
    Row("POST", f"{SHEET_PAGE}use/", "brewing/sheets/{sheet}/use/", frozenset({B}), 400),
    Row("POST", f"{SHEET_PAGE}discard/", "brewing/sheets/{sheet}/discard/", frozenset({B}), 400),
    Row("POST", f"{SHEET_PAGE}withdrawal/", "brewing/sheets/{sheet}/withdrawal/", frozenset({B}), 400),
    Row("POST", f"{SHEET_PAGE}copy/", "brewing/sheets/{sheet}/copy/", frozenset({B}), 400),
    Row("POST", "yeast/strains/<path:code>/", "yeast/strains/YEAST/", frozenset({Q, A}), 400),
    Row("POST", "yeast/lots/<int:lot>/", "yeast/lots/{yeast}/", frozenset({B}), 400),
    Row("POST", "yeast/lots/<int:lot>/count/", "yeast/lots/{yeast}/count/", frozenset({B, Q}), 400),
    Row("POST", "yeast/lots/<int:lot>/undo/", "yeast/lots/{yeast}/undo/", frozenset({R, B, Q, A}), 400),
    Row("POST", "yeast/propagation/", "yeast/propagation/", frozenset({B}), 400),
    Row("POST", "quality/", "quality/", frozenset({Q}), 400),
    Row("POST", "quality/lots/<int:lot>/return/", "quality/lots/{lot}/return/", frozenset({R, Q}), 400),
    Row("POST", "orders/<int:order>/", "orders/{order}/", frozenset({R}), 400),
    Row("POST", "receiving/new/", "receiving/new/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/head/", "receiving/{delivery}/head/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/scans/", "receiving/{delivery}/scans/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/lines/", "receiving/{delivery}/lines/", frozenset({R}), 400),
    Row("POST", f"{LINE_ROUTE}", "receiving/{delivery}/lines/{line}/", frozenset({R}), 400),
    Row("POST", f"{LINE_ROUTE}removal/", "receiving/{delivery}/lines/{line}/removal/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/papers/", "receiving/{delivery}/papers/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/file/", "receiving/{delivery}/file/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/booking/", "receiving/{delivery}/booking/", frozenset({R}), 400),
    Row("POST", "receiving/<int:delivery>/discarding/", "receiving/{delivery}/discarding/", frozenset({R}), 400),
)
SIGNING = (
    Row("GET", "sign-in/", "sign-in/", EVERYBODY),
    Row("POST", "sign-in/", "sign-in/", EVERYBODY),
    Row("PUT", "sign-in/", "sign-in/", EVERYBODY),
    Row("POST", "sign-out/", "sign-out/", EVERYBODY, 302),
)
READS = (
    Row("GET", "api/v1/me/", "me/", PEOPLE),
    Row("GET", "api/v1/schema/", "schema/", EVERYBODY),
    Row("GET", "api/v1/materials/", "materials/", READERS),
    Row("GET", "api/v1/materials/<path:code>/", "materials/PILS/", READERS),
    Row("GET", "api/v1/parties/", "parties/", READERS),
    Row("GET", "api/v1/parties/<path:code>/", "parties/INN/", READERS),
    Row("GET", "api/v1/locations/", "locations/", READERS),
    Row("GET", "api/v1/locations/<path:code>/", "locations/FV1/", READERS),
    Row("GET", "api/v1/lots/", "lots/", READERS),
    Row("GET", "api/v1/lots/<path:code>/", "lots/M1/", READERS),
    Row("GET", "api/v1/balances/", "balances/", READERS),
    Row("GET", "api/v1/stock/materials/", "stock/materials/", READERS),
    Row("GET", "api/v1/stock/materials/<path:code>/", "stock/materials/PILS/", READERS),
    Row("GET", "api/v1/stock/lots/", "stock/lots/", READERS),
    Row("GET", "api/v1/stock/places/", "stock/places/", READERS),
    Row("GET", "api/v1/proposals/", "proposals/?material=PILS&quantity=1&unit=kg", READERS),
    Row("GET", "api/v1/jobs/", "jobs/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/webhooks/", "webhooks/", frozenset({A})),
    Row("GET", "api/v1/webhook-messages/", "webhook-messages/", frozenset({A})),
    Row("GET", "api/v1/mail-wishes/", "mail-wishes/", frozenset({R, B, Q, C, A})),
    Row("GET", "api/v1/alerts/", "alerts/", READERS),
    Row("GET", "api/v1/alerts/<int:pk>/", "alerts/1/", READERS, 404),
    Row("GET", "api/v1/reservations/", "reservations/", READERS),
    Row("GET", "api/v1/count-sheets/", "count-sheets/", READERS),
    Row("GET", "api/v1/lot-costs/", "lot-costs/", frozenset({C})),
    Row(
        "GET",
        "api/v1/stock-values/",
        "stock-values/?material=PILS&first=2026-03-02&last=2026-03-02",
        frozenset({C}),
    ),
    Row("GET", "api/v1/count-sheets/<int:pk>/", "count-sheets/{count}/", READERS),
    Row("GET", "api/v1/events/", "events/", READERS),
    Row("GET", "api/v1/events/<int:pk>/", "events/{event}/", READERS),
    Row("GET", "api/v1/deliveries/", "deliveries/", READERS),
    Row("GET", "api/v1/delivery-drafts/", "delivery-drafts/", READERS),
    Row("GET", "api/v1/purchase-orders/", "purchase-orders/", READERS),
    Row("GET", "api/v1/purchase-orders/<path:number>/", "purchase-orders/PO-1/", READERS),
    Row("GET", "api/v1/labels/", "labels/?lot=M1", READERS),
    Row("GET", "api/v1/trade-items/", "trade-items/", READERS),
    Row("GET", "api/v1/trade-items/<str:gtin>/", "trade-items/09521234500018/", READERS),
    Row("GET", "api/v1/pallets/", "pallets/", READERS),
    Row("GET", "api/v1/pallets/<str:sscc>/", f"pallets/{SSCC}/", READERS),
    Row("GET", "api/v1/specifications/", "specifications/", READERS),
    Row("GET", "api/v1/certificates/", "certificates/", READERS),
    Row("GET", "api/v1/certificates/<int:pk>/", "certificates/{certificate}/", READERS),
    Row("GET", "api/v1/allergens/", "allergens/?lot=M1", READERS),
    Row("GET", "api/v1/brews/", "brews/", READERS),
    Row("GET", "api/v1/brews/<path:code>/", "brews/B1/", READERS),
    Row("GET", "api/v1/brew-sheets/", "brew-sheets/", READERS),
    Row("GET", "api/v1/packaging-runs/", "packaging-runs/", READERS),
    Row("GET", "api/v1/packaging-runs/<path:code>/", "packaging-runs/R1/", READERS),
    Row("GET", "api/v1/traces/", "traces/?lot=M1", READERS),
    Row("GET", "api/v1/trace-searches/", "trace-searches/?q=KEG1", READERS),
    Row("GET", "api/v1/vertical-audits/", "vertical-audits/?lot=KEG1", READERS),
    Row("GET", "api/v1/vertical-audits/document/", "vertical-audits/document/?lot=KEG1", READERS),
    Row(
        "GET",
        "api/v1/duty-records/",
        "duty-records/?first=2026-03-01&last=2026-03-31",
        READERS,
    ),
    Row(
        "GET",
        "api/v1/duty-postings/",
        "duty-postings/?first=2026-03-01&last=2026-03-31&line=removed",
        READERS,
    ),
    Row("GET", "api/v1/usage/", "usage/?first=2026-03-01&last=2026-03-31&by=brew", READERS),
    Row(
        "GET",
        "api/v1/usage-postings/",
        "usage-postings/?first=2026-03-01&last=2026-03-31&material=SAAZ&column=used",
        READERS,
    ),
    Row("GET", "api/v1/usage-variances/", "usage-variances/?first=2026-03-01&last=2026-03-31", READERS),
    Row("GET", "api/v1/duty-missing/", "duty-missing/?scheme=us&first=2026-03-01&last=2026-03-31", READERS),
    Row("GET", "api/v1/duty-closings/", "duty-closings/", READERS),
    Row("GET", "api/v1/duty-rates/", "duty-rates/?scheme=us", READERS),
    Row(
        "GET",
        "api/v1/duty-worksheets/",
        "duty-worksheets/?scheme=us&first=2026-03-01&last=2026-03-31",
        READERS,
    ),
    Row(
        "GET",
        "api/v1/duty-worksheets/document/",
        "duty-worksheets/document/?scheme=us&first=2026-03-01&last=2026-03-31",
        READERS,
    ),
    Row("GET", "api/v1/mass-balances/", "mass-balances/?lot=M1", READERS),
    Row("GET", "api/v1/strain-settings/", "strain-settings/", READERS),
    Row("GET", "api/v1/yeast/", "yeast/", READERS),
    Row("GET", "api/v1/yeast/lineage/", "yeast/lineage/?lot=Y1", READERS),
    Row("GET", "api/v1/yeast/touched-brews/", "yeast/touched-brews/?lot=Y1", READERS),
    Row("GET", "api/v1/seals/", "seals/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/seal-findings/", "seal-findings/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/common-causes/", "common-causes/?bad=KEG1 D1", READERS),
    Row("GET", "api/v1/reorders/", "reorders/", READERS),
    Row("GET", "api/v1/reorder-settings/", "reorder-settings/", READERS),
    Row("GET", "api/v1/supply-contracts/", "supply-contracts/", READERS),
    Row("GET", "api/v1/order-drafts/", "order-drafts/", READERS),
    Row("GET", "api/v1/climate-readings/", "climate-readings/", READERS),
    Row("GET", "api/v1/climate-corrections/", "climate-corrections/", READERS),
    Row("GET", "api/v1/climate-limits/", "climate-limits/", READERS),
    Row("GET", "api/v1/keepings/", "keepings/", READERS),
    Row("GET", "api/v1/hop-packs/", "hop-packs/", READERS),
    Row("GET", "api/v1/hop-rates/", "hop-rates/", READERS),
    Row("GET", "api/v1/lot-alphas/", "lot-alphas/?lot=H1", READERS),
    Row("GET", "api/v1/place-temperatures/", "place-temperatures/", READERS),
    Row("GET", "api/v1/proofs/", "proofs/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/kept-proofs/", "kept-proofs/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/findings/", "findings/", frozenset({Q, C, A, U})),
    Row("GET", "api/v1/audits/", "audits/", frozenset({Q, C, A, U})),
)
WRITES = (
    Row("POST", "api/v1/tank-readings/", "tank-readings/", frozenset({B}), 201),
    Row("POST", "api/v1/strain-settings/", "strain-settings/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/materials/", "materials/", frozenset({A}), 201),
    Row("POST", "api/v1/parties/", "parties/", frozenset({A}), 201),
    Row("POST", "api/v1/locations/", "locations/", frozenset({A}), 201),
    Row("POST", "api/v1/deliveries/", "deliveries/", frozenset({R}), 201),
    Row("POST", "api/v1/purchase-orders/", "purchase-orders/", frozenset({R}), 201),
    Row("POST", "api/v1/order-closures/", "order-closures/", frozenset({R}), 201),
    Row("POST", "api/v1/reorder-settings/", "reorder-settings/", frozenset({R}), 201),
    Row("POST", "api/v1/supply-contracts/", "supply-contracts/", frozenset({R}), 201),
    Row("POST", "api/v1/supply-contract-closures/", "supply-contract-closures/", frozenset({R}), 201),
    Row("POST", "api/v1/order-drafts/", "order-drafts/", frozenset({R}), 201),
    Row("POST", "api/v1/order-draft-changes/", "order-draft-changes/", frozenset({R}), 201),
    Row("POST", "api/v1/order-draft-orders/", "order-draft-orders/", frozenset({R}), 201),
    Row("POST", "api/v1/order-draft-discards/", "order-draft-discards/", frozenset({R}), 201),
    Row("POST", "api/v1/climate-readings/", "climate-readings/", frozenset({R, B, Q, A}), 201),
    Row("POST", "api/v1/climate-files/", "climate-files/", frozenset({R, B, Q, A}), 400),
    Row("POST", "api/v1/climate-corrections/", "climate-corrections/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/climate-limits/", "climate-limits/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/hop-packs/", "hop-packs/", frozenset({R, B}), 201),
    Row("POST", "api/v1/hop-rates/", "hop-rates/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/place-temperatures/", "place-temperatures/", frozenset({A}), 201),
    Row("POST", "api/v1/moves/", "moves/", frozenset({R, B}), 201),
    Row("POST", "api/v1/counts/", "counts/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-sheets/", "count-sheets/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-entries/", "count-entries/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-finds/", "count-finds/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-submissions/", "count-submissions/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-bookings/", "count-bookings/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/recounts/", "recounts/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/count-discards/", "count-discards/", frozenset({R, B, Q, C}), 201),
    Row("POST", "api/v1/lot-costs/", "lot-costs/", frozenset({C}), 201),
    Row("POST", "api/v1/opening-stock/", "opening-stock/", frozenset({A}), 400),
    Row("POST", "api/v1/logger-files/", "logger-files/", frozenset({B}), 400),
    Row("POST", "api/v1/samples/", "samples/", frozenset({B, Q}), 201),
    Row("POST", "api/v1/destructions/", "destructions/", frozenset({Q}), 201),
    Row("POST", "api/v1/decisions/", "decisions/", frozenset({Q}), 201),
    Row("POST", "api/v1/jobs/", "jobs/", frozenset({A}), 400),
    Row("POST", "api/v1/webhooks/", "webhooks/", frozenset({A}), 400),
    Row("POST", "api/v1/webhook-endings/", "webhook-endings/", frozenset({A}), 400),
    Row("POST", "api/v1/webhook-sendings/", "webhook-sendings/", frozenset({A}), 400),
    Row("POST", "api/v1/mail-wishes/", "mail-wishes/", frozenset({R, B, Q, C, A}), 400),
    Row("POST", "api/v1/alert-steps/", "alert-steps/", frozenset({R, B, Q, C, A}), 400),
    Row("POST", "api/v1/reservations/", "reservations/", frozenset({R, B}), 201),
    Row("POST", "api/v1/reservation-releases/", "reservation-releases/", frozenset({R, B}), 201),
    Row("POST", "api/v1/material-settings/", "material-settings/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/specifications/", "specifications/", frozenset({Q, A}), 201),
    Row("POST", "api/v1/certificates/", "certificates/", frozenset({R, Q}), 201),
    Row("POST", "api/v1/certificate-files/", "certificate-files/", frozenset({R, Q}), 201),
    Row("POST", "api/v1/bulk-decisions/", "bulk-decisions/", frozenset({Q}), 201),
    Row("POST", "api/v1/returns-to-suppliers/", "returns-to-suppliers/", frozenset({R, Q}), 201),
    Row("POST", "api/v1/brews/", "brews/", frozenset({B}), 201),
    Row("POST", "api/v1/draws/", "draws/", frozenset({B}), 201),
    Row("POST", "api/v1/returns-to-stock/", "returns-to-stock/", frozenset({B}), 201),
    Row("POST", "api/v1/knock-outs/", "knock-outs/", frozenset({B}), 201),
    Row("POST", "api/v1/pitches/", "pitches/", frozenset({B}), 201),
    Row("POST", "api/v1/additions/", "additions/", frozenset({B}), 201),
    Row("POST", "api/v1/transfers/", "transfers/", frozenset({B}), 201),
    Row("POST", "api/v1/tank-readings/", "tank-readings/", frozenset({B}), 201),
    Row("POST", "api/v1/yeast-counts/", "yeast-counts/", frozenset({B, Q}), 201),
    Row("POST", "api/v1/propagations/", "propagations/", frozenset({B}), 201),
    Row("POST", "api/v1/yeast-discards/", "yeast-discards/", frozenset({B}), 201),
    Row("POST", "api/v1/harvests/", "harvests/", frozenset({B}), 201),
    Row("POST", "api/v1/filtrations/", "filtrations/", frozenset({B}), 201),
    Row("POST", "api/v1/packaging-runs/", "packaging-runs/", frozenset({B}), 201),
    Row("POST", "api/v1/packagings/", "packagings/", frozenset({B}), 201),
    Row("POST", "api/v1/shipments/", "shipments/", frozenset({R}), 201),
    Row("POST", "api/v1/trade-items/", "trade-items/", frozenset({A}), 201),
    Row("POST", "api/v1/pallets/", "pallets/", frozenset({R, B}), 201),
    Row("POST", "api/v1/pallet-loads/", "pallet-loads/", frozenset({R, B}), 201),
    Row("POST", "api/v1/pallet-moves/", "pallet-moves/", frozenset({R, B}), 201),
    Row("POST", "api/v1/pallet-unloads/", "pallet-unloads/", frozenset({R, B}), 201),
    Row("POST", "api/v1/pallet-shipments/", "pallet-shipments/", frozenset({R}), 201),
    Row("POST", "api/v1/customer-returns/", "customer-returns/", frozenset({R}), 201),
    Row("POST", "api/v1/reversals/", "reversals/", frozenset({R, B, Q, A}), 201),
)
QUESTIONS = (Row("POST", "api/v1/scans/", "scans/", READERS),)
DRAFT = "delivery-drafts/<int:pk>/"
DRAFT_LINE = f"{DRAFT}lines/<int:line>/"
OF_DELIVERIES = (
    Row("POST", "api/v1/delivery-drafts/", "delivery-drafts/", frozenset({R}), 400),
    Row("GET", "api/v1/deliveries/<int:pk>/", "deliveries/{delivery}/", READERS, 404),
    Row("GET", f"api/v1/{DRAFT}", "delivery-drafts/{delivery}/", READERS),
    Row("PATCH", f"api/v1/{DRAFT}", "delivery-drafts/{delivery}/", frozenset({R}), 428),
    Row("GET", f"api/v1/{DRAFT}lines/", "delivery-drafts/{delivery}/lines/", READERS),
    Row("POST", f"api/v1/{DRAFT}lines/", "delivery-drafts/{delivery}/lines/", frozenset({R}), 400),
    Row("GET", f"api/v1/{DRAFT_LINE}", "delivery-drafts/{delivery}/lines/{line}/", READERS),
    Row("PATCH", f"api/v1/{DRAFT_LINE}", "delivery-drafts/{delivery}/lines/{line}/", frozenset({R}), 428),
    Row("DELETE", f"api/v1/{DRAFT_LINE}", "delivery-drafts/{delivery}/lines/{line}/", frozenset({R}), 428),
    Row("POST", f"api/v1/{DRAFT}scans/", "delivery-drafts/{delivery}/scans/", frozenset({R}), 400),
    Row("POST", f"api/v1/{DRAFT}imports/", "delivery-drafts/{delivery}/imports/", frozenset({R}), 400),
    Row("POST", f"api/v1/{DRAFT}bookings/", "delivery-drafts/{delivery}/bookings/", frozenset({R}), 428),
    Row("POST", f"api/v1/{DRAFT}discards/", "delivery-drafts/{delivery}/discards/", frozenset({R}), 428),
    Row("GET", f"api/v1/{DRAFT}attachments/", "delivery-drafts/{delivery}/attachments/", READERS),
    Row("POST", f"api/v1/{DRAFT}attachments/", "delivery-drafts/{delivery}/attachments/", frozenset({R}), 400),
)
"""Requests without a body or a version: those who are let in are told what is missing, and write nothing."""
BREW = "brews/<path:code>/"
OF_BREWS = (
    Row("POST", "api/v1/dilutions/", "dilutions/", frozenset({B}), 400),
    Row("GET", f"api/v1/{BREW}log/", "brews/B1/log/", READERS),
    Row("POST", f"api/v1/{BREW}log/", "brews/B1/log/", frozenset({B}), 400),
    Row("POST", f"api/v1/{BREW}log-corrections/", "brews/B1/log-corrections/", frozenset({B}), 400),
    Row("GET", f"api/v1/{BREW}figures/", "brews/B1/figures/", READERS),
    Row("GET", f"api/v1/{BREW}pick-list/", "brews/B1/pick-list/", READERS),
    Row("GET", f"api/v1/{BREW}attachments/", "brews/B1/attachments/", READERS),
    Row("POST", f"api/v1/{BREW}attachments/", "brews/B1/attachments/", frozenset({B}), 400),
)
OF_VESSELS = (
    Row("GET", "api/v1/vessels/", "vessels/", READERS),
    Row("GET", "api/v1/vessels/<path:code>/occupations/", "vessels/FV1/occupations/", READERS),
    Row("GET", "api/v1/cleanings/", "cleanings/", READERS),
    Row("GET", "api/v1/service-marks/", "service-marks/", READERS),
    Row("POST", "api/v1/cleanings/", "cleanings/", frozenset({R, B}), 400),
    Row("POST", "api/v1/cleaning-withdrawals/", "cleaning-withdrawals/", frozenset({R, B}), 400),
    Row("POST", "api/v1/service-marks/", "service-marks/", frozenset({R, B}), 400),
    Row("POST", "api/v1/cleaning-rules/", "cleaning-rules/", frozenset({A}), 400),
)
PLAN = "brew-plans/<path:code>/"
OF_PLANS = (
    Row("GET", "api/v1/using-up/", "using-up/", READERS),
    Row("POST", "api/v1/using-up-reservations/", "using-up-reservations/", frozenset({B}), 400),
    Row("GET", "api/v1/brew-plans/", "brew-plans/", READERS),
    Row("POST", "api/v1/brew-plans/", "brew-plans/", frozenset({B}), 400),
    Row("GET", f"api/v1/{PLAN}", "brew-plans/P9/", READERS, 404),
    Row("PATCH", f"api/v1/{PLAN}", "brew-plans/P9/", frozenset({B}), 428),
    Row("POST", f"api/v1/{PLAN}starts/", "brew-plans/P9/starts/", frozenset({B}), 400),
    Row("POST", f"api/v1/{PLAN}call-offs/", "brew-plans/P9/call-offs/", frozenset({B}), 404),
    Row("POST", f"api/v1/{PLAN}reservations/", "brew-plans/P9/reservations/", frozenset({B}), 404),
    Row("GET", "api/v1/consistency/", "consistency/?beer=LAGER", READERS),
    Row("GET", "api/v1/fermentations/", "fermentations/", READERS),
    Row("GET", "api/v1/fermentations/<path:code>/", "fermentations/FV9/", READERS, 404),
    Row("GET", "api/v1/tank-readings/", "tank-readings/", READERS),
    Row("POST", "api/v1/tank-reading-corrections/", "tank-reading-corrections/", frozenset({B}), 400),
    Row("GET", "api/v1/brew-needs/", "brew-needs/", READERS),
    Row("GET", "api/v1/brew-shortages/", "brew-shortages/", READERS),
    Row("GET", "api/v1/brewable-sheets/", "brewable-sheets/", READERS),
)
SHEET = "brew-sheets/<int:pk>/"
OF_SHEETS = (
    Row("POST", "api/v1/brew-sheets/", "brew-sheets/", frozenset({B}), 400),
    Row("GET", f"api/v1/{SHEET}", "brew-sheets/{sheet}/", READERS),
    Row("PATCH", f"api/v1/{SHEET}", "brew-sheets/{sheet}/", frozenset({B}), 428),
    Row("POST", f"api/v1/{SHEET}uses/", "brew-sheets/{sheet}/uses/", frozenset({B}), 428),
    Row("POST", f"api/v1/{SHEET}discards/", "brew-sheets/{sheet}/discards/", frozenset({B}), 428),
    Row("POST", f"api/v1/{SHEET}withdrawals/", "brew-sheets/{sheet}/withdrawals/", frozenset({B}), 409),
    Row("POST", f"api/v1/{SHEET}copies/", "brew-sheets/{sheet}/copies/", frozenset({B}), 409),
    Row("GET", f"api/v1/{SHEET}scaled/", "brew-sheets/{sheet}/scaled/", READERS),
    Row("GET", f"api/v1/{SHEET}comparison/", "brew-sheets/{sheet}/comparison/", READERS, 400),
    Row("GET", f"api/v1/{SHEET}print/", "brew-sheets/{sheet}/print/", READERS),
)
ORDER = "customer-orders/<path:number>/"
BACK = "returned-goods/<int:pk>/"
OF_DISPATCH = (
    Row("GET", "api/v1/party-contacts/", "party-contacts/", READERS),
    Row("POST", "api/v1/party-contacts/", "party-contacts/", frozenset({Q, A}), 400),
    Row("POST", "api/v1/party-contact-endings/", "party-contact-endings/", frozenset({Q, A}), 400),
    Row("GET", "api/v1/minimum-lives/", "minimum-lives/", READERS),
    Row("POST", "api/v1/minimum-lives/", "minimum-lives/", frozenset({Q, A}), 400),
    Row("GET", "api/v1/customer-orders/", "customer-orders/", READERS),
    Row("POST", "api/v1/customer-orders/", "customer-orders/", frozenset({R}), 400),
    Row("GET", f"api/v1/{ORDER}", "customer-orders/O9/", READERS, 404),
    Row("PATCH", f"api/v1/{ORDER}", "customer-orders/O9/", frozenset({R}), 428),
    Row("GET", f"api/v1/{ORDER}picking/", "customer-orders/O9/picking/", READERS, 404),
    Row("POST", f"api/v1/{ORDER}picks/", "customer-orders/O9/picks/", frozenset({R}), 400),
    Row("POST", f"api/v1/{ORDER}shipments/", "customer-orders/O9/shipments/", frozenset({R}), 400),
    Row("POST", f"api/v1/{ORDER}call-offs/", "customer-orders/O9/call-offs/", frozenset({R}), 404),
    Row("POST", "api/v1/picks/<int:pk>/put-backs/", "picks/1/put-backs/", frozenset({R}), 404),
    Row("GET", "api/v1/delivery-notes/next/", "delivery-notes/next/", READERS),
    Row("GET", "api/v1/delivery-notes/<int:pk>/", "delivery-notes/{shipment}/", READERS),
    Row("GET", "api/v1/returned-goods/", "returned-goods/", READERS),
    Row("POST", f"api/v1/{BACK}restocks/", "returned-goods/1/restocks/", frozenset({R}), 400),
    Row("POST", f"api/v1/{BACK}destructions/", "returned-goods/1/destructions/", frozenset({Q}), 400),
    Row("POST", f"api/v1/{BACK}reworks/", "returned-goods/1/reworks/", frozenset({B}), 400),
)
SESSIONS = (
    Row("POST", "api/v1/sessions/", "sessions/", EVERYBODY, 400),
    Row("DELETE", "api/v1/sessions/current/", "sessions/current/", PEOPLE, 204),
    Row("DELETE", "api/v1/sessions/all/", "sessions/all/", PEOPLE, 204),
)
ABSENT = tuple(Row(method, "api/<path:rest>", "nowhere/", EVERYBODY, 404) for method in ("GET", "POST"))
OF_SEALS = (Row("POST", "api/v1/seals/", "seals/", frozenset({Q}), 201),)
OF_PACKAGING = (
    Row("GET", "api/v1/packaging-runs/<path:code>/figures/", "packaging-runs/R1/figures/", READERS),
    Row("POST", "api/v1/fills/", "fills/", frozenset({B}), 400),
    Row("POST", "api/v1/fill-undos/", "fill-undos/", frozenset({R, B, Q, A}), 400),
    Row("POST", "api/v1/run-finishes/", "run-finishes/", frozenset({B}), 400),
    Row("GET", "api/v1/packaging-codes/", "packaging-codes/?material=KEG50", READERS),
    Row("GET", "api/v1/packaging-rules/", "packaging-rules/", READERS),
    Row("POST", "api/v1/packaging-rules/", "packaging-rules/", frozenset({Q, A}), 400),
    Row("GET", "api/v1/retained-samples/", "retained-samples/", READERS),
    Row("POST", "api/v1/retained-samples/", "retained-samples/", frozenset({B, Q}), 400),
    Row("POST", "api/v1/sample-disposals/", "sample-disposals/", frozenset({Q}), 400),
)
OF_HOLDS = (
    Row("GET", "api/v1/holds/", "holds/", READERS),
    Row("GET", "api/v1/holds/<int:pk>/", "holds/{hold}/", READERS),
    Row("GET", "api/v1/contaminations/", "contaminations/?of=Y1", READERS),
    Row("GET", "api/v1/hold-previews/", "hold-previews/?lots=M1", READERS),
    Row("POST", "api/v1/holds/", "holds/", frozenset({Q}), 400),
    Row("POST", "api/v1/hold-releases/", "hold-releases/", frozenset({Q}), 400),
    Row("GET", "api/v1/recalls/", "recalls/", READERS),
    Row("GET", "api/v1/recalls/<int:pk>/", "recalls/{recall}/", READERS),
    Row("GET", "api/v1/duty-closings/<int:pk>/archive/", "duty-closings/{duty}/archive/", READERS),
    *(
        Row("GET", f"api/v1/recalls/<int:pk>/report/{form}/", f"recalls/{{recall}}/report/{form}/", READERS)
        for form in ("document", "workbook", "tables")
    ),
    Row("POST", "api/v1/recalls/", "recalls/", frozenset({Q}), 400),
    Row("POST", "api/v1/recall-classes/", "recall-classes/", frozenset({Q}), 400),
    Row("POST", "api/v1/recall-checks/", "recall-checks/", frozenset({Q}), 400),
    Row("POST", "api/v1/duty-closings/", "duty-closings/", frozenset({C}), 400),
    Row("POST", "api/v1/duty-amendments/", "duty-amendments/", frozenset({C}), 400),
    Row("POST", "api/v1/duty-rates/", "duty-rates/", frozenset({C}), 400),
    Row("POST", "api/v1/duty-answers/", "duty-answers/", frozenset({C}), 400),
    Row("POST", "api/v1/duty-standings/", "duty-standings/", frozenset({C}), 400),
    Row("POST", "api/v1/duty-purposes/", "duty-purposes/", frozenset({C}), 400),
    Row("POST", "api/v1/recall-notes/", "recall-notes/", frozenset({Q}), 400),
    Row("POST", "api/v1/recall-tasks/", "recall-tasks/", frozenset({Q}), 400),
    Row("POST", "api/v1/recall-task-ends/", "recall-task-ends/", frozenset({Q}), 400),
    Row("POST", "api/v1/recall-closings/", "recall-closings/", frozenset({Q}), 400),
)
OF_EPCIS = (
    Row("GET", "api/v1/epcis/events/", "epcis/events/?perPage=1", READERS),
    Row("GET", "api/v1/epcis/captured-events/", "epcis/captured-events/", READERS),
    Row("POST", "api/v1/epcis/capture/", "epcis/capture/?party=MALTINGS", frozenset({R}), 400),
    Row("GET", "api/v1/epcis/document/", "epcis/document/?lot=KEG1", READERS),
)
PARTS = (
    *OF_EPCIS,
    *OF_HOLDS,
    *OF_PACKAGING,
    *OF_SEALS,
    *OF_DELIVERIES,
    *OF_BREWS,
    *OF_VESSELS,
    *OF_PLANS,
    *OF_SHEETS,
    *OF_DISPATCH,
)
TABLE = (*PAGES, *FORMS, *SIGNING, *READS, *WRITES, *QUESTIONS, *PARTS, *SESSIONS, *ABSENT)
BY_ROUTE = {row.address: row for row in WRITES}
BODIES = {address: body for address, _, body in CHAIN}


def test_every_address_and_method_of_the_service_is_in_the_table():
    named = {(row.method, row.route) for row in TABLE}
    there = set(methods_and_routes(get_resolver()))
    assert there - named == set(), "these addresses are open or closed to nobody knows whom"
    assert named - there - {("GET", "api/<path:rest>"), ("POST", "api/<path:rest>")} == set()


@pytest.mark.usefixtures("whole_chain")
def test_a_page_is_shown_to_those_in_the_table_and_nobody_else(brewhouse: Brewhouse):
    """A form that is sent empty writes nothing: those who may send it are told what is missing."""
    keys = keys_of_things(brewhouse)
    people = {name: signed_in_as(brewhouse, name) for name in [*sorted(PEOPLE), None]}
    wrong = []
    for row in [*PAGES, *FORMS]:
        address = "/" + row.address.format(**keys)
        for name, client in people.items():
            with undone():
                answer = client.generic(row.method, address)
            told = (answer.status_code, answer.get("Location") if answer.status_code == 302 else None)
            if told != (meant := shown(row, name, address)):
                wrong.append((row.method, address, name, told, meant))
    assert wrong == []


def test_everybody_can_sign_in_and_out(brewhouse: Brewhouse):
    for row in SIGNING:
        for name in [*sorted(PEOPLE), None]:
            client = signed_in_as(brewhouse, name)
            assert client.generic(row.method, "/" + row.address).status_code == row.status, (name, row)


@pytest.mark.usefixtures("whole_chain")
def test_a_read_is_answered_to_those_in_the_table_and_nobody_else(api: Api):
    event = Event.objects.latest("pk").pk
    certificate = api.post("certificates/", BODIES["certificates/"], R).json()["id"]
    for address, role in (("purchase-orders/", R), ("pallets/", R), ("trade-items/", A)):
        api.post(address, BODIES[address], role)
    count = api.post("count-sheets/", {"location": "STORE"}, R).json()["id"]
    for row in READS:
        for name in [*sorted(PEOPLE), None]:
            answer = api.client(name).get(ROOT + row.address.format(count=count, event=event, certificate=certificate))
            assert answer.status_code == expected(row, name), (name, row, answer.content)


def test_a_write_is_taken_from_those_in_the_table_and_nobody_else(api: Api):
    for address, role, body in CHAIN:
        row = BY_ROUTE[address]
        for name in [*sorted(PEOPLE), None]:
            assert try_and_undo(api, address, body, name) == expected(row, name), (name, address)
        assert api.post(address, body, role).status_code == 201


@pytest.mark.usefixtures("whole_chain")
def test_a_part_is_open_to_those_in_the_table_and_nobody_else(api: Api):
    keys = keys_of_things(api.house)
    headers = {"Idempotency-Key": "5b0c7f0e-8f0b-4d0b-9a57-3d0f6a4f2c11"}
    wrong = []
    for row in PARTS:
        for name in [*sorted(PEOPLE), None]:
            with undone():
                answer = api.client(name).generic(row.method, ROOT + row.address.format(**keys), headers=headers)
            if answer.status_code != expected(row, name):
                wrong.append((row.method, row.address, name, answer.status_code, answer.content))
    assert wrong == []


def test_a_reversal_is_taken_from_those_in_the_table_and_nobody_else(api: Api):
    event = api.house.deliver("PILS", "M1", "10 kg")
    for name in [*sorted(PEOPLE), None]:
        status = try_and_undo(api, "reversals/", {"event": event.pk, "reason": "mistake"}, name)
        assert status == expected(BY_ROUTE["reversals/"], name), name


def test_a_reservation_is_let_go_by_those_in_the_table_and_nobody_else(api: Api):
    api.house.stock_up()
    kept = api.post("reservations/", BODIES["reservations/"], B).json()["id"]
    for name in [*sorted(PEOPLE), None]:
        status = try_and_undo(api, "reservation-releases/", {"reservation": kept}, name)
        assert status == expected(BY_ROUTE["reservation-releases/"], name), name


def test_a_scan_is_read_for_those_in_the_table_and_nobody_else(api: Api):
    for row in QUESTIONS:
        for name in [*sorted(PEOPLE), None]:
            assert api.post(row.address, {"text": "FV1"}, name).status_code == expected(row, name), name


def test_a_file_is_taken_from_those_in_the_table_and_nobody_else(api: Api):
    headers = {"Idempotency-Key": "5b0c7f0e-8f0b-4d0b-9a57-3d0f6a4f2c11"}
    for row in (BY_ROUTE["opening-stock/"], BY_ROUTE["logger-files/"], BY_ROUTE["climate-files/"]):
        for name in [*sorted(PEOPLE), None]:
            answer = api.client(name).post(ROOT + row.address, {}, format="multipart", headers=headers)
            assert answer.status_code == expected(row, name), (row.address, name)


def test_a_count_is_kept_by_those_in_the_table_and_nobody_else(api: Api):
    house = api.house
    house.deliver("SAAZ", "H1", "20 kg")
    count = api.post("count-sheets/", {"location": "STORE"}, R).json()["id"]
    entry = {"sheet": count, "lot": "H1", "quantity": "19.9", "unit": "kg"}
    steps: tuple[tuple[str, Any], ...] = (
        ("count-sheets/", {"location": "COLD"}),
        ("count-finds/", {"sheet": count, "marking": "X", "words": "a box"}),
        ("count-entries/", entry),
        ("count-submissions/", {"sheet": count}),
        ("recounts/", {"sheet": count}),
        ("count-discards/", {"sheet": count}),
        ("count-bookings/", {"sheet": count, "reason": "spilt"}),
    )
    for address, body in steps:
        for name in [*sorted(PEOPLE), None]:
            assert try_and_undo(api, address, body, name) == expected(BY_ROUTE[address], name), (name, address)
        if address in ("count-entries/", "count-submissions/"):
            assert api.post(address, body, R).status_code == 201


def test_a_draft_of_an_order_is_worked_on_by_those_in_the_table_and_nobody_else(api: Api):
    draft = api.post("order-drafts/", BODIES["order-drafts/"], R).json()["id"]
    as_seen = {"draft": draft, "revision": 1}
    for address, body in (
        ("order-draft-changes/", as_seen | {"lines": [DRAFTED]}),
        ("order-draft-orders/", as_seen | {"number": "PO-2", "ordered_on": "2026-05-01"}),
        ("order-draft-discards/", as_seen),
    ):
        for name in [*sorted(PEOPLE), None]:
            assert try_and_undo(api, address, body, name) == expected(BY_ROUTE[address], name), (name, address)


def test_sessions_are_everybodys_own(api: Api):
    for row in SESSIONS:
        for name in [*sorted(PEOPLE), None]:
            answer = api.client(name).generic(row.method, ROOT + row.address)
            assert answer.status_code == expected(row, name), (name, row)


def test_what_is_not_there_is_not_there_for_everybody(api: Api):
    for row in ABSENT:
        for name in [*sorted(PEOPLE), None]:
            problem_of(api.client(name).generic(row.method, ROOT + row.address), 404)


def test_the_auditor_writes_nothing():
    assert [row for row in WRITES if Role.AUDITOR in row.who] == []


def test_a_view_that_names_no_right_is_closed_to_everybody(brewhouse: Brewhouse):
    class Forgotten(APIView):
        def get(self, request: Any) -> Response:
            return Response()

    for name in sorted(PEOPLE):
        request = APIRequestFactory().get("/")
        force_authenticate(request, brewhouse.people[name])
        assert Forgotten.as_view()(request).status_code == 403


def test_a_person_who_lacks_the_right_is_told_which(api: Api):
    problem = problem_of(api.post("brews/", {}, U), 403)
    assert problem["code"] == "not_allowed"
    assert problem["detail"] == f"auditor may not do this: it needs the right “{Right.BREW}”."


def test_somebody_who_is_no_longer_active_is_let_in_nowhere(api: Api):
    person = api.house.people[B]
    person.is_active = False
    assert api.get("lots/", B).status_code == 403
    assert api.post("brews/", BODIES["brews/"], B).status_code == 403


def expected(row: Row, name: str | None) -> int:
    """Return the status that the table has for a person."""
    return row.status if name in row.who else 401 if name is None else 403


def shown(row: Row, name: str | None, address: str) -> tuple[int, str | None]:
    """Return the status and the way elsewhere that the table has for a person who asks for a page."""
    if name in row.who or name is not None:
        return expected(row, name), None
    return 302, f"/sign-in/?{urlencode({'next': address}, safe='/')}"


def signed_in_as(house: Brewhouse, name: str | None) -> Client:
    """Return a browser in which the person is signed in; None is nobody."""
    client = Client()
    if name is not None:
        client.force_login(house.people[name], "django.contrib.auth.backends.ModelBackend")
    return client


@contextmanager
def undone() -> Iterator[None]:
    """Leave everything as it was."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def try_and_undo(api: Api, address: str, body: Any, name: str | None) -> int:
    """Return what the person is answered, and leave everything as it was."""
    with undone():
        status: int = api.post(address, body, name).status_code
    return status


def methods_and_routes(resolver: URLResolver, prefix: str = "") -> Iterator[tuple[str, str]]:
    """Return every method of every route of the service, HEAD and OPTIONS aside."""
    for pattern in resolver.url_patterns:
        route = prefix + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from methods_and_routes(pattern, route)
        else:
            for method in methods_of(pattern):
                yield method, route


def methods_of(pattern: URLPattern) -> list[str]:
    """Return the methods that the view of a route answers; a plain function is for GET."""
    view = getattr(pattern.callback, "view_class", None) or getattr(pattern.callback, "cls", None)
    if view is None:
        return ["GET"]
    names = (name for name in view.http_method_names if name not in ("head", "options", "trace"))
    return [name.upper() for name in names if hasattr(view, name)]
