"""The pages below yeast/. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.yeast.count import CountPage
from brewery.production.pages.yeast.culture import CulturePage
from brewery.production.pages.yeast.overview import YeastPage
from brewery.production.pages.yeast.propagation import PropagationPage
from brewery.production.pages.yeast.strain import StrainPage
from brewery.production.pages.yeast.undo import YeastUndoPage

urlpatterns = [
    path("", YeastPage.as_view(), name="yeast"),
    path("lots/<int:lot>/", CulturePage.as_view(), name="culture"),
    path("lots/<int:lot>/count/", CountPage.as_view(), name="culture-count"),
    path("lots/<int:lot>/undo/", YeastUndoPage.as_view(), name="culture-undo"),
    path("propagation/", PropagationPage.as_view(), name="yeast-propagation"),
    path("strains/<path:code>/", StrainPage.as_view(), name="strain"),
]
