"""The wiring: settings, addresses, the web and the worker process. Imported by none of the layers below."""

from brewery.project.celery import app as celery_app

__all__ = ["celery_app"]
