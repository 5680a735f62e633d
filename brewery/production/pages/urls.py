"""The pages of brewing, cellar work, packaging and dispatch."""

from django.urls import path

from brewery.production.pages.shipments import PalletShipmentPage

urlpatterns = [
    path("pallets/<str:sscc>/shipment/", PalletShipmentPage.as_view(), name="pallet-shipment"),
]
