"""The pages of brewing, cellar work, packaging and dispatch."""

from django.urls import include, path

from brewery.production.pages.reordering import ReorderingPage, ReorderMaterialPage, ReorderSettingPage
from brewery.production.pages.sheets.shown import ComparisonPage, SheetPage, SheetPrint, SheetsPage
from brewery.production.pages.sheets.steps import SheetCopy, SheetDiscard, SheetUse, SheetWithdrawal
from brewery.production.pages.sheets.writing import ChangeSheetPage, NewSheetPage
from brewery.production.pages.shipments import PalletShipmentPage

urlpatterns = [
    path("brewing/sheets/", SheetsPage.as_view(), name="brew-sheets"),
    path("brewing/sheets/new/", NewSheetPage.as_view(), name="new-brew-sheet"),
    path("brewing/sheets/<int:sheet>/", SheetPage.as_view(), name="brew-sheet"),
    path("brewing/sheets/<int:sheet>/change/", ChangeSheetPage.as_view(), name="change-brew-sheet"),
    path("brewing/sheets/<int:sheet>/comparison/", ComparisonPage.as_view(), name="brew-sheet-comparison"),
    path("brewing/sheets/<int:sheet>/print/", SheetPrint.as_view(), name="brew-sheet-print"),
    path("brewing/sheets/<int:sheet>/use/", SheetUse.as_view(), name="brew-sheet-use"),
    path("brewing/sheets/<int:sheet>/discard/", SheetDiscard.as_view(), name="brew-sheet-discard"),
    path("brewing/sheets/<int:sheet>/withdrawal/", SheetWithdrawal.as_view(), name="brew-sheet-withdrawal"),
    path("brewing/sheets/<int:sheet>/copy/", SheetCopy.as_view(), name="brew-sheet-copy"),
    path("reordering/", ReorderingPage.as_view(), name="reordering"),
    path("reordering/<int:material>/", ReorderMaterialPage.as_view(), name="reordering-material"),
    path("reordering/<int:material>/setting/", ReorderSettingPage.as_view(), name="reordering-setting"),
    path("brewing/", include("brewery.production.pages.brew_urls")),
    path("", include("brewery.production.pages.dispatch.urls")),
    path("cellar/", include("brewery.production.pages.cellar_urls")),
    path("yeast/", include("brewery.production.pages.yeast.urls")),
    path("packaging/", include("brewery.production.pages.packaging_urls")),
    path("pallets/<str:sscc>/shipment/", PalletShipmentPage.as_view(), name="pallet-shipment"),
]
