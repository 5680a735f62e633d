"""The pages of the stock."""

from django.urls import path

from inventory.pages.attachments import AttachmentFile
from inventory.pages.home import HomePage
from inventory.pages.lots import LotsPage
from inventory.pages.orders import NewOrderPage, OrderPage, OrdersPage

urlpatterns = [
    path("", HomePage.as_view(), name="home"),
    path("attachments/<int:attachment>/", AttachmentFile.as_view(), name="attachment"),
    path("lots/", LotsPage.as_view(), name="lots"),
    path("orders/", OrdersPage.as_view(), name="orders"),
    path("orders/new/", NewOrderPage.as_view(), name="new-order"),
    path("orders/<int:order>/", OrderPage.as_view(), name="order"),
]
