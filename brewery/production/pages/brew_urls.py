"""The pages below brewing/: the plan, the brews, consistency. Codes may hold a slash."""

from django.urls import path

from brewery.production.pages.brew_day.knock_out import KnockOutPage
from brewery.production.pages.brew_day.writing import (
    BrewDayPage,
    BrewDraws,
    BrewKnockOutUndo,
    BrewLogCorrections,
    BrewLogLines,
    BrewPapers,
    BrewReturns,
    BrewUndos,
)
from brewery.production.pages.brews import BrewsPage, NewBrewPage
from brewery.production.pages.consistency import ConsistencyPage
from brewery.production.pages.plans import PlanCallOff, PlanChange, PlanKeeping, PlanPage, PlansPage, PlanStart
from brewery.production.pages.using_up import UsingUpPage

urlpatterns = [
    path("", PlansPage.as_view(), name="brewing"),
    path("plans/<path:code>/change/", PlanChange.as_view(), name="plan-change"),
    path("plans/<path:code>/keeping/", PlanKeeping.as_view(), name="plan-keeping"),
    path("plans/<path:code>/start/", PlanStart.as_view(), name="plan-start"),
    path("plans/<path:code>/call-off/", PlanCallOff.as_view(), name="plan-call-off"),
    path("plans/<path:code>/", PlanPage.as_view(), name="plan"),
    path("brews/", BrewsPage.as_view(), name="brews"),
    path("brews/new/", NewBrewPage.as_view(), name="new-brew"),
    path("brews/<path:code>/draws/", BrewDraws.as_view(), name="brew-draws"),
    path("brews/<path:code>/returns/", BrewReturns.as_view(), name="brew-returns"),
    path("brews/<path:code>/undos/", BrewUndos.as_view(), name="brew-undos"),
    path("brews/<path:code>/knock-out/", KnockOutPage.as_view(), name="brew-knock-out"),
    path("brews/<path:code>/knock-out-undo/", BrewKnockOutUndo.as_view(), name="brew-knock-out-undo"),
    path("brews/<path:code>/log/", BrewLogLines.as_view(), name="brew-log-lines"),
    path("brews/<path:code>/log/<int:entry>/", BrewLogCorrections.as_view(), name="brew-log-corrections"),
    path("brews/<path:code>/papers/", BrewPapers.as_view(), name="brew-papers"),
    path("brews/<path:code>/", BrewDayPage.as_view(), name="brew-day"),
    path("using-up/", UsingUpPage.as_view(), name="using-up"),
    path("consistency/", ConsistencyPage.as_view(), name="consistency"),
]
