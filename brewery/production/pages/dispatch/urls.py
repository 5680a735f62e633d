"""Addresses of dispatch."""

from django.urls import path

from brewery.production.pages.dispatch.customers import (
    CustomerContactEnd,
    CustomerContacts,
    CustomerLives,
    CustomerPage,
    CustomersPage,
)
from brewery.production.pages.dispatch.orders import (
    NewOrderPage,
    OrderCallOff,
    OrderChange,
    OrderPage,
    OrderShipment,
    OrderUndo,
)
from brewery.production.pages.dispatch.overview import DeliveryNotePage, DispatchPage
from brewery.production.pages.dispatch.picking import OrderPicking, OrderPutBack, PickingPage
from brewery.production.pages.dispatch.returns import (
    ReturnDestruction,
    ReturnPage,
    ReturnRestock,
    ReturnRework,
    ReturnsPage,
    ReturnUndo,
)
from brewery.production.pages.dispatch.shipments import ShipmentPage

ORDER, BACK, CUSTOMER = "dispatch/orders/<int:order>/", "dispatch/returns/<int:back>/", "customers/<int:customer>/"

urlpatterns = [
    path("dispatch/", DispatchPage.as_view(), name="dispatch"),
    path("dispatch/orders/new/", NewOrderPage.as_view(), name="new-customer-order"),
    path(ORDER, OrderPage.as_view(), name="customer-order"),
    path(f"{ORDER}change/", OrderChange.as_view(), name="customer-order-change"),
    path(f"{ORDER}call-off/", OrderCallOff.as_view(), name="customer-order-call-off"),
    path(f"{ORDER}shipment/", OrderShipment.as_view(), name="customer-order-shipment"),
    path(f"{ORDER}undo/", OrderUndo.as_view(), name="customer-order-undo"),
    path(f"{ORDER}picking/", PickingPage.as_view(), name="customer-order-picking"),
    path(f"{ORDER}picking/pick/", OrderPicking.as_view(), name="customer-order-picking-pick"),
    path(f"{ORDER}picking/put-back/", OrderPutBack.as_view(), name="customer-order-put-back"),
    path("dispatch/shipments/<int:event>/", ShipmentPage.as_view(), name="shipment"),
    path("dispatch/shipments/<int:event>/note/", DeliveryNotePage.as_view(), name="delivery-note"),
    path("dispatch/returns/", ReturnsPage.as_view(), name="customer-returns"),
    path(BACK, ReturnPage.as_view(), name="customer-return"),
    path(f"{BACK}restock/", ReturnRestock.as_view(), name="customer-return-restock"),
    path(f"{BACK}destruction/", ReturnDestruction.as_view(), name="customer-return-destruction"),
    path(f"{BACK}rework/", ReturnRework.as_view(), name="customer-return-rework"),
    path(f"{BACK}undo/", ReturnUndo.as_view(), name="customer-return-undo"),
    path("customers/", CustomersPage.as_view(), name="customers"),
    path(CUSTOMER, CustomerPage.as_view(), name="customer"),
    path(f"{CUSTOMER}contact/", CustomerContacts.as_view(), name="customer-contact"),
    path(f"{CUSTOMER}contact-end/", CustomerContactEnd.as_view(), name="customer-contact-end"),
    path(f"{CUSTOMER}minimum-life/", CustomerLives.as_view(), name="customer-minimum-life"),
]
