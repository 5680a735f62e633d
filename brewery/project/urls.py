"""Every address of the service."""

from django.urls import path

from brewery.project import health

urlpatterns = [
    path("healthz", health.alive, name="alive"),
    path("readyz", health.ready, name="ready"),
]
