"""Addresses of the pages of the service itself."""

from django.urls import path

from brewery.kernel.pages.jobs import JobsPage

urlpatterns = [path("jobs/", JobsPage.as_view(), name="jobs")]
