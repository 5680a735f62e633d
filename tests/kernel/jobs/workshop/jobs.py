"""Jobs for tests that need processes of their own."""

import uuid

import redis
from django.conf import settings
from django.contrib.auth.models import Group

from brewery.kernel.services.job_registry import job
from tests.kernel.jobs.workshop.names import GO_ON, HERE


@job("tests.found_a_guild")
def found_a_guild(number: int) -> str:
    """Write a row that a second run would double."""
    return Group.objects.create(name=f"guild {number}").name


@job("tests.pause_in_the_middle")
def pause_in_the_middle(number: int) -> str:
    """Write a row, say so in Redis, and go on when told."""
    name = Group.objects.create(name=f"paused guild {number} {uuid.uuid4()}").name
    with redis.Redis.from_url(settings.REDIS_URL, socket_timeout=None) as bell:
        bell.rpush(f"{settings.KEY_PREFIX}{HERE}", number)
        if bell.blpop([f"{settings.KEY_PREFIX}{GO_ON}"], timeout=60) is None:
            raise TimeoutError("Nobody said to go on.")
    return name
