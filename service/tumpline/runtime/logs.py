"""How a log line looks: a constant dotted name and its facts; words for a person, JSON for a machine."""

import logging
import sys

import structlog
from structlog.typing import Processor


class _Forward(logging.Handler):
    """Libraries that log in their own way are heard too."""

    def emit(self, record: logging.LogRecord) -> None:
        error = record.exc_info[1] if record.exc_info else None
        facts = {} if error is None else {"why": repr(error)}
        structlog.get_logger(record.name).log(record.levelno, "library.said", text=record.getMessage(), **facts)


def configure(*, verbose: bool = False) -> None:
    """Log to standard error: coloured lines where a person looks on, JSON otherwise; `verbose` adds what debugs."""
    person = sys.stderr.isatty()
    finish: list[Processor] = (
        [structlog.dev.ConsoleRenderer()]
        if person
        else [structlog.processors.format_exc_info, structlog.processors.JSONRenderer()]
    )
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=not person),
            *finish,
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.DEBUG if verbose else logging.INFO),
        logger_factory=structlog.PrintLoggerFactory(sys.stderr),
    )
    logging.basicConfig(handlers=[_Forward()], level=logging.WARNING, force=True)


def hush() -> None:
    """Log nothing more where a person looks on: what has to be said stands on the screen."""
    if sys.stderr.isatty():
        structlog.configure(wrapper_class=structlog.make_filtering_bound_logger(logging.CRITICAL))
