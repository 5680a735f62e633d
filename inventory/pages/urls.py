"""The pages of the stock."""

from django.urls import include, path

from inventory.pages.attachments import AttachmentFile
from inventory.pages.certificates.certificate import CertificatePage
from inventory.pages.certificates.entry import NewCertificatePage
from inventory.pages.certificates.files import CertificateFilesPage
from inventory.pages.certificates.overview import CertificatesPage
from inventory.pages.home import HomePage
from inventory.pages.labels import DeliveryLabelsPage, LotLabelPage, PalletLabelPage, PlaceLabelPage
from inventory.pages.lots import LotsPage
from inventory.pages.materials.limits import MaterialLimitsPage
from inventory.pages.materials.overview import MaterialsPage
from inventory.pages.materials.settings import MaterialPage
from inventory.pages.ordering.contracts import ContractPage, ContractsPage, NewContractPage
from inventory.pages.ordering.drafts import OrderDraftPage, OrderDraftsPage
from inventory.pages.orders import NewOrderPage, OrderPage, OrdersPage
from inventory.pages.pallets.overview import NewPalletPage, PalletsPage
from inventory.pages.pallets.pallet import PalletLoading, PalletMoving, PalletPage, PalletUnloading
from inventory.pages.place_temperature import PlaceTemperaturePage
from inventory.pages.places import PlacePage
from inventory.pages.quality.desk import QualityDesk
from inventory.pages.quality.send_back import SendBackPage
from inventory.pages.receiving.draft import DeliveryPage
from inventory.pages.receiving.lines_file import SampleFile
from inventory.pages.receiving.overview import NewDeliveryPage, ReceivingPage
from inventory.pages.receiving.writing import (
    DeliveryPapers,
    DraftBooking,
    DraftDiscarding,
    DraftFile,
    DraftHead,
    DraftLine,
    DraftLines,
    DraftScans,
    LineRemoval,
)
from inventory.pages.scan import ScanPage
from inventory.pages.trade_items import NewTradeItemPage, TradeItemsPage

urlpatterns = [
    path("", HomePage.as_view(), name="home"),
    path("attachments/<int:attachment>/", AttachmentFile.as_view(), name="attachment"),
    path("scan/", ScanPage.as_view(), name="scan"),
    path("lots/", LotsPage.as_view(), name="lots"),
    path("lots/<int:lot>/label/", LotLabelPage.as_view(), name="lot-label"),
    path("places/<int:place>/", PlacePage.as_view(), name="place"),
    path("places/<int:place>/temperature/", PlaceTemperaturePage.as_view(), name="place-temperature"),
    path("places/<int:place>/label/", PlaceLabelPage.as_view(), name="place-label"),
    path("pallets/", PalletsPage.as_view(), name="pallets"),
    path("pallets/new/", NewPalletPage.as_view(), name="new-pallet"),
    path("pallets/<str:sscc>/", PalletPage.as_view(), name="pallet"),
    path("pallets/<str:sscc>/label/", PalletLabelPage.as_view(), name="pallet-label"),
    path("pallets/<str:sscc>/move/", PalletMoving.as_view(), name="pallet-move"),
    path("pallets/<str:sscc>/load/", PalletLoading.as_view(), name="pallet-load"),
    path("pallets/<str:sscc>/unload/", PalletUnloading.as_view(), name="pallet-unload"),
    path("trade-items/", TradeItemsPage.as_view(), name="trade-items"),
    path("trade-items/new/", NewTradeItemPage.as_view(), name="new-trade-item"),
    path("certificates/", CertificatesPage.as_view(), name="certificates"),
    path("certificates/new/", NewCertificatePage.as_view(), name="new-certificate"),
    path("certificates/files/", CertificateFilesPage.as_view(), name="certificate-files"),
    path("certificates/<int:certificate>/", CertificatePage.as_view(), name="certificate"),
    path("materials/", MaterialsPage.as_view(), name="materials"),
    path("materials/<path:code>/limits/", MaterialLimitsPage.as_view(), name="material-limits"),
    path("materials/<path:code>/", MaterialPage.as_view(), name="material"),
    path("quality/", QualityDesk.as_view(), name="quality"),
    path("quality/lots/<int:lot>/return/", SendBackPage.as_view(), name="send-back"),
    path("alerts/", include("inventory.pages.alerts.urls")),
    path("orders/", OrdersPage.as_view(), name="orders"),
    path("orders/new/", NewOrderPage.as_view(), name="new-order"),
    path("orders/<int:order>/", OrderPage.as_view(), name="order"),
    path("stock/", include("inventory.pages.stock.urls")),
    path("contracts/", ContractsPage.as_view(), name="contracts"),
    path("contracts/new/", NewContractPage.as_view(), name="new-contract"),
    path("contracts/<int:contract>/", ContractPage.as_view(), name="contract"),
    path("order-drafts/", OrderDraftsPage.as_view(), name="order-drafts"),
    path("order-drafts/<int:draft>/", OrderDraftPage.as_view(), name="order-draft"),
    path("climate/", include("inventory.pages.climate.urls")),
    path("keeping/", include("inventory.pages.keeping.urls")),
    path("counts/", include("inventory.pages.counts.urls")),
    path("receiving/", ReceivingPage.as_view(), name="receiving"),
    path("receiving/sample.csv", SampleFile.as_view(), name="lines-sample"),
    path("receiving/new/", NewDeliveryPage.as_view(), name="new-delivery"),
    path("receiving/<int:delivery>/", DeliveryPage.as_view(), name="delivery"),
    path("receiving/<int:delivery>/labels/", DeliveryLabelsPage.as_view(), name="delivery-labels"),
    path("receiving/<int:delivery>/head/", DraftHead.as_view(), name="draft-head"),
    path("receiving/<int:delivery>/scans/", DraftScans.as_view(), name="draft-scans"),
    path("receiving/<int:delivery>/lines/", DraftLines.as_view(), name="draft-lines"),
    path("receiving/<int:delivery>/lines/<int:line>/", DraftLine.as_view(), name="draft-line"),
    path("receiving/<int:delivery>/lines/<int:line>/removal/", LineRemoval.as_view(), name="line-removal"),
    path("receiving/<int:delivery>/file/", DraftFile.as_view(), name="draft-file"),
    path("receiving/<int:delivery>/papers/", DeliveryPapers.as_view(), name="delivery-papers"),
    path("receiving/<int:delivery>/booking/", DraftBooking.as_view(), name="draft-booking"),
    path("receiving/<int:delivery>/discarding/", DraftDiscarding.as_view(), name="draft-discarding"),
]
