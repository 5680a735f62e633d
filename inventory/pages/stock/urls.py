"""The pages of what is on hand."""

from django.urls import path

from inventory.pages.stock.exports import StockExport
from inventory.pages.stock.handling import (
    DestroyPage,
    LettingGo,
    LotStockPage,
    MovePage,
    ReservePage,
    SamplePage,
)
from inventory.pages.stock.material import MaterialStockPage
from inventory.pages.stock.opening import OpeningPage
from inventory.pages.stock.overview import StockLotsPage, StockPage, StockPlacesPage
from inventory.pages.stock.values import LotCostPage, MaterialValuePage

urlpatterns = [
    path("", StockPage.as_view(), name="stock"),
    path("lots/", StockLotsPage.as_view(), name="stock-lots"),
    path("lots/<int:lot>/", LotStockPage.as_view(), name="stock-lot"),
    path("lots/<int:lot>/cost/", LotCostPage.as_view(), name="stock-cost"),
    path("lots/<int:lot>/move/", MovePage.as_view(), name="stock-move"),
    path("lots/<int:lot>/reserve/", ReservePage.as_view(), name="stock-reserve"),
    path("lots/<int:lot>/sample/", SamplePage.as_view(), name="stock-sample"),
    path("lots/<int:lot>/destroy/", DestroyPage.as_view(), name="stock-destroy"),
    path("reservations/<int:reservation>/letting-go/", LettingGo.as_view(), name="stock-letting-go"),
    path("places/", StockPlacesPage.as_view(), name="stock-places"),
    path("opening/", OpeningPage.as_view(), name="stock-opening"),
    path("export/", StockExport.as_view(), name="stock-export"),
    path("materials/<int:material>/value/", MaterialValuePage.as_view(), name="stock-value"),
    path("materials/<int:material>/", MaterialStockPage.as_view(), name="stock-material"),
]
