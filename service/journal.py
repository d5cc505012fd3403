"""The journal: what happens while nobody looks, a line of JSON each, on standard error."""

import sys

import structlog


def begin() -> None:
    """Write the journal of this process to standard error, with levels and times in UTC."""
    structlog.configure(
        processors=[
            structlog.contextvars.merge_contextvars,
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.format_exc_info,
            structlog.processors.JSONRenderer(),
        ],
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
    )
