"""The pages of the stock."""

from django.urls import path

from inventory.pages.attachments import AttachmentFile
from inventory.pages.home import HomePage
from inventory.pages.lots import LotsPage
from inventory.pages.orders import NewOrderPage, OrderPage, OrdersPage
from inventory.pages.quality.desk import QualityDesk
from inventory.pages.quality.send_back import SendBackPage
from inventory.pages.receiving.draft import DeliveryPage
from inventory.pages.receiving.overview import NewDeliveryPage, ReceivingPage
from inventory.pages.receiving.writing import (
    DeliveryPapers,
    DraftBooking,
    DraftDiscarding,
    DraftHead,
    DraftLine,
    DraftLines,
    DraftScans,
    LineRemoval,
)

urlpatterns = [
    path("", HomePage.as_view(), name="home"),
    path("attachments/<int:attachment>/", AttachmentFile.as_view(), name="attachment"),
    path("lots/", LotsPage.as_view(), name="lots"),
    path("quality/", QualityDesk.as_view(), name="quality"),
    path("quality/lots/<int:lot>/return/", SendBackPage.as_view(), name="send-back"),
    path("orders/", OrdersPage.as_view(), name="orders"),
    path("orders/new/", NewOrderPage.as_view(), name="new-order"),
    path("orders/<int:order>/", OrderPage.as_view(), name="order"),
    path("stock/", include("inventory.pages.stock.urls")),
    path("receiving/", ReceivingPage.as_view(), name="receiving"),
    path("receiving/new/", NewDeliveryPage.as_view(), name="new-delivery"),
    path("receiving/<int:delivery>/", DeliveryPage.as_view(), name="delivery"),
    path("receiving/<int:delivery>/head/", DraftHead.as_view(), name="draft-head"),
    path("receiving/<int:delivery>/scans/", DraftScans.as_view(), name="draft-scans"),
    path("receiving/<int:delivery>/lines/", DraftLines.as_view(), name="draft-lines"),
    path("receiving/<int:delivery>/lines/<int:line>/", DraftLine.as_view(), name="draft-line"),
    path("receiving/<int:delivery>/lines/<int:line>/removal/", LineRemoval.as_view(), name="line-removal"),
    path("receiving/<int:delivery>/papers/", DeliveryPapers.as_view(), name="delivery-papers"),
    path("receiving/<int:delivery>/booking/", DraftBooking.as_view(), name="draft-booking"),
    path("receiving/<int:delivery>/discarding/", DraftDiscarding.as_view(), name="draft-discarding"),
]
