"""The pages of how warm places are."""

from django.urls import path

from inventory.pages.climate.correction import ClimateCorrectionPage
from inventory.pages.climate.overview import ClimateFilePage, ClimatesPage
from inventory.pages.climate.place import ClimateLimitPage, ClimatePage

urlpatterns = [
    path("", ClimatesPage.as_view(), name="climates"),
    path("file/", ClimateFilePage.as_view(), name="climate-file"),
    path("<int:place>/", ClimatePage.as_view(), name="climate"),
    path("<int:place>/correction/", ClimateCorrectionPage.as_view(), name="climate-correction"),
    path("<int:place>/limit/", ClimateLimitPage.as_view(), name="climate-limit"),
]
