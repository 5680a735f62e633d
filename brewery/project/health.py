"""What a supervisor asks: is the process alive, may it be sent work, and is the work beside it done?"""

from django.conf import settings
from django.core.cache import cache
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.http import HttpRequest, JsonResponse
from redis.exceptions import RedisError

from brewery.kernel.queries import jobs


def alive(request: HttpRequest) -> JsonResponse:
    """Answer 200: the process takes requests."""
    return JsonResponse({"alive": True})


def ready(request: HttpRequest) -> JsonResponse:
    """Answer 200 when the database is migrated and Redis, where there is one, answers; otherwise 503 and which not.

    `job_lag_s` says for how many seconds the most belated job could have run already. Late jobs leave the web process
    ready: sending its requests elsewhere would run none of them.
    """
    checks = {"database": _database_is_migrated(), "redis": _redis_answers()}
    job_lag_s = int(jobs.lag().total_seconds()) if checks["database"] else None
    status = 200 if all(checks.values()) else 503
    return JsonResponse({"ready": all(checks.values()), **checks, "job_lag_s": job_lag_s}, status=status)


def jobs_are_done(request: HttpRequest) -> JsonResponse:
    """Answer 200 while jobs are run in time and none has failed for good; otherwise 503 and how late, and which."""
    lag = jobs.lag()
    failed = sorted(name for name, history in jobs.histories().items() if history.has_failed)
    is_well = lag <= settings.JOBS_LATE_AFTER and not failed
    told = {"jobs": is_well, "job_lag_s": int(lag.total_seconds()), "failed": failed}
    return JsonResponse(told, status=200 if is_well else 503)


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
