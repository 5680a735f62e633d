"""Addresses of signing in, of jobs, of seals, and of the description of the API."""

from django.urls import path

from brewery.kernel.api import sessions
from brewery.kernel.api.description import Description
from brewery.kernel.api.jobs import Jobs
from brewery.kernel.api.seals import SealFindings, Seals

urlpatterns = [
    path("sessions/", sessions.Sessions.as_view(), name="api-sessions"),
    path("sessions/current/", sessions.CurrentSession.as_view(), name="api-session"),
    path("sessions/all/", sessions.AllSessions.as_view(), name="api-all-sessions"),
    path("me/", sessions.Me.as_view(), name="api-me"),
    path("jobs/", Jobs.as_view(), name="api-jobs"),
    path("seals/", Seals.as_view(), name="api-seals"),
    path("seal-findings/", SealFindings.as_view(), name="api-seal-findings"),
    path("schema/", Description.as_view(), name="api-schema"),
]
