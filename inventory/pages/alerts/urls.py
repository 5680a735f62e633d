"""Addresses of the pages of alerts."""

from django.urls import path

from inventory.pages.alerts.one import AlertPage
from inventory.pages.alerts.overview import AlertCountPage, AlertsPage

urlpatterns = [
    path("", AlertsPage.as_view(), name="alerts"),
    path("count/", AlertCountPage.as_view(), name="alert-count"),
    path("<int:alert>/", AlertPage.as_view(), name="alert"),
]
