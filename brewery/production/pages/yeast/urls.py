"""The pages below yeast/. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.yeast.culture import CulturePage
from brewery.production.pages.yeast.overview import YeastPage
from brewery.production.pages.yeast.strain import StrainPage

urlpatterns = [
    path("", YeastPage.as_view(), name="yeast"),
    path("lots/<int:lot>/", CulturePage.as_view(), name="culture"),
    path("strains/<path:code>/", StrainPage.as_view(), name="strain"),
]
