"""The security log: one line of JSON for each act that a reviewer asks for.

A line says when, who, from where, what, and with what outcome. It holds names of
people and of pages and keys of rows: nothing secret, and nothing that was typed.
"""

import json
import logging
import logging.handlers
from contextvars import ContextVar
from datetime import UTC, datetime
from io import TextIOWrapper
from pathlib import Path

LOGGER = "security"
address_now: ContextVar[str] = ContextVar("address_now", default="")
"""Where the request that is being answered came from; empty outside of one."""

KINDS = (
    *("person.", "password.", "factor.", "passkey.", "pin.", "dock-phone.", "period."),
    *("legal-hold.", "evidence.withheld", "evidence.shown"),
)
"""How the kinds of event begin that are told here too, once they are saved."""

_log = logging.getLogger(LOGGER)


def told(what: str, *, outcome: str, who: str = "", **more: str | int) -> None:
    """Write one line. ``more`` holds keys and counts, never words of a person."""
    facts = {
        "who": who or "nobody signed in",
        "from": address_now.get() or "this machine",
        "what": what,
        "outcome": outcome,
    }
    _log.info(what, extra={"facts": facts | more})


class JsonLines(logging.Formatter):
    """Writes a record of ``told`` as one line of JSON."""

    def format(self, record: logging.LogRecord) -> str:
        """Return the line; control characters are escaped, so nobody forges one."""
        at = datetime.fromtimestamp(record.created, UTC).isoformat()
        return json.dumps({"at": at, **getattr(record, "facts", {})})


class PrivateLines(logging.handlers.WatchedFileHandler):
    """Appends to a file that its owner alone can read."""

    def _open(self) -> TextIOWrapper:
        Path(self.baseFilename).touch(mode=0o600)
        return super()._open()


class NoRefusals(logging.Filter):
    """Leaves out what Django writes of a 403: a traceback that names nobody."""

    def filter(self, record: logging.LogRecord) -> bool:
        """Return whether the record is about anything else."""
        return getattr(record, "status_code", None) != 403
