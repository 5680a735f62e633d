"""How the log looks: JSON lines in production for machines, coloured lines in development for people."""

from typing import Any

import structlog
from structlog.typing import Processor

SHARED: list[Processor] = [
    structlog.contextvars.merge_contextvars,
    structlog.stdlib.add_logger_name,
    structlog.stdlib.add_log_level,
    structlog.processors.TimeStamper(fmt="iso", utc=True),
]


def configure_structlog() -> None:
    """Every structlog logger from now on hands its lines to the standard library's handlers."""
    structlog.configure(
        processors=[*SHARED, structlog.stdlib.ProcessorFormatter.wrap_for_formatter],
        logger_factory=structlog.stdlib.LoggerFactory(),
        cache_logger_on_first_use=True,
    )


def logging_settings(*, json_lines: bool) -> dict[str, Any]:
    """Return Django's LOGGING: one handler on standard error, JSON when `json_lines`."""
    # A refusal is logged with its traceback: drawn in boxes with every variable, it took longer than the request.
    ending: list[Processor] = [
        structlog.dev.ConsoleRenderer(colors=False, exception_formatter=structlog.dev.plain_traceback)
    ]
    if json_lines:
        ending = [structlog.processors.format_exc_info, structlog.processors.JSONRenderer()]
    return {
        "version": 1,
        "disable_existing_loggers": False,
        "formatters": {
            "lines": {
                "()": structlog.stdlib.ProcessorFormatter,
                "processors": [structlog.stdlib.ProcessorFormatter.remove_processors_meta, *ending],
                "foreign_pre_chain": SHARED,
            },
        },
        "handlers": {"console": {"class": "logging.StreamHandler", "formatter": "lines"}},
        "root": {"handlers": ["console"], "level": "INFO" if json_lines else "WARNING"},
    }
