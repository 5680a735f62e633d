"""The pages of what is on hand."""

from django.urls import path

from inventory.pages.stock.exports import StockExport
from inventory.pages.stock.material import MaterialStockPage
from inventory.pages.stock.overview import StockLotsPage, StockPage, StockPlacesPage

urlpatterns = [
    path("", StockPage.as_view(), name="stock"),
    path("lots/", StockLotsPage.as_view(), name="stock-lots"),
    path("places/", StockPlacesPage.as_view(), name="stock-places"),
    path("export/", StockExport.as_view(), name="stock-export"),
    path("materials/<int:material>/", MaterialStockPage.as_view(), name="stock-material"),
]
