"""The pages of how long things keep."""

from django.urls import path

from inventory.pages.keeping.lot import LotKeepingPage
from inventory.pages.keeping.overview import KeepingPage
from inventory.pages.keeping.saying import GiveRatePage, PackPage

urlpatterns = [
    path("", KeepingPage.as_view(), name="keeping"),
    path("lots/<int:lot>/", LotKeepingPage.as_view(), name="lot-keeping"),
    path("lots/<int:lot>/pack/", PackPage.as_view(), name="lot-pack"),
    path("lots/<int:lot>/rate/", GiveRatePage.as_view(), name="lot-rate"),
]
