"""The pages of the record's answers."""

from django.urls import path

from traceability.pages.lot import LotPage

urlpatterns = [path("lots/<int:lot>/", LotPage.as_view(), name="lot")]
