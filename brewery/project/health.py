"""Two questions a supervisor asks: is the process alive, and may it be sent work?"""

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from redis.exceptions import RedisError


def alive(request: HttpRequest) -> JsonResponse:
    """Answer 200: the process takes requests."""
    return JsonResponse({"alive": True})


def ready(request: HttpRequest) -> JsonResponse:
    """Answer 200 when the database is migrated and Redis, where there is one, answers; otherwise 503 and which not."""
    checks = {"database": _database_is_migrated(), "redis": _redis_answers()}
    return JsonResponse({"ready": all(checks.values()), **checks}, status=200 if all(checks.values()) else 503)


def _database_is_migrated() -> bool:
    try:
        executor = MigrationExecutor(connection)
    except DatabaseError:
        return False
    return not executor.migration_plan(executor.loader.graph.leaf_nodes())


def _redis_answers() -> bool:
    if not settings.REDIS_URL:
        return True
    try:
        cache.get("health")
    except RedisError:
        return False
    return True
