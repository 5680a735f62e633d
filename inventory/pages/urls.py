"""The pages of the stock."""

from django.urls import path

from inventory.pages.attachments import AttachmentFile
from inventory.pages.home import HomePage
from inventory.pages.lots import LotsPage

urlpatterns = [
    path("", HomePage.as_view(), name="home"),
    path("attachments/<int:attachment>/", AttachmentFile.as_view(), name="attachment"),
    path("lots/", LotsPage.as_view(), name="lots"),
]
