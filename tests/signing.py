"""Somebody at a browser of their own: no log-in page is asked, since too many would lock them out."""

from django.test import Client

from tests.brewhouse import Brewhouse

BACKEND = "django.contrib.auth.backends.ModelBackend"


def signed_in(house: Brewhouse, role: str = "brewing") -> Client:
    """Return a browser in which the role's person is signed in."""
    client = Client()
    client.force_login(house.people[role], BACKEND)
    return client
