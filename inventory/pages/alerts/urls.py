"""Addresses of the pages of alerts."""

from django.urls import path

from inventory.pages.alerts.mail_wishes import MailWishPage
from inventory.pages.alerts.one import AlertPage
from inventory.pages.alerts.overview import AlertCountPage, AlertsPage
from inventory.pages.alerts.webhooks import WebhookPage, WebhooksPage

urlpatterns = [
    path("", AlertsPage.as_view(), name="alerts"),
    path("count/", AlertCountPage.as_view(), name="alert-count"),
    path("mail/", MailWishPage.as_view(), name="mail-wishes"),
    path("webhooks/", WebhooksPage.as_view(), name="webhooks"),
    path("webhooks/<int:webhook>/", WebhookPage.as_view(), name="webhook"),
    path("<int:alert>/", AlertPage.as_view(), name="alert"),
]
