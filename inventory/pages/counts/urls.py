"""The pages of counts."""

from django.urls import path

from inventory.pages.counts.overview import CountsPage
from inventory.pages.counts.sheet import CountPage
from inventory.pages.counts.steps import (
    CountBooking,
    CountDiscarding,
    CountEntry,
    CountFinding,
    CountHandingIn,
    Recounting,
)

urlpatterns = [
    path("", CountsPage.as_view(), name="counts"),
    path("<int:count>/", CountPage.as_view(), name="count"),
    path("<int:count>/entries/", CountEntry.as_view(), name="count-entry"),
    path("<int:count>/finds/", CountFinding.as_view(), name="count-find"),
    path("<int:count>/handing-in/", CountHandingIn.as_view(), name="count-handing-in"),
    path("<int:count>/booking/", CountBooking.as_view(), name="count-booking"),
    path("<int:count>/recounting/", Recounting.as_view(), name="count-recounting"),
    path("<int:count>/discarding/", CountDiscarding.as_view(), name="count-discarding"),
]
