"""Read the first sheet of an uploaded workbook. It is read once, never kept."""

import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from inventory.evidence.pictures.label_reader import BUSY

SECONDS = 20
PATIENCE = 20
MOST_CELL = 500

TOO_LARGE = "TooLarge"
LOCKED = "Locked"
FORMULA = "Formula"
SHEETS = "Sheets"

_at_once = threading.BoundedSemaphore(1)
_CHILD = Path(__file__).with_name("workbook_child.py")


@dataclass(frozen=True)
class WorkbookReading:
    """The rows as text; or the name of what went wrong."""

    rows: tuple[tuple[str, ...], ...] = ()
    trouble: str = ""


def read_workbook(
    data: bytes, *, rows: int, columns: int, is_strict: bool = False
) -> WorkbookReading:
    """Read at most so many rows and columns in a child process with limits.

    Formulas give their last result and other sheets are left alone, unless strict:
    then FORMULA or SHEETS is the trouble. Never raise for a bad workbook: ``trouble`` then
    names what went wrong. One is read at a time; the next waits 20 seconds for its
    turn, then is answered BUSY.
    """
    if not _at_once.acquire(timeout=PATIENCE):
        return WorkbookReading(trouble=BUSY)
    try:
        answer = _run_child(data, rows, columns, is_strict=is_strict)
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        return WorkbookReading(trouble=type(error).__name__)
    finally:
        _at_once.release()
    found = tuple(tuple(row) for row in answer.get("rows", ()))
    return WorkbookReading(found, answer.get("error", ""))


def _run_child(
    data: bytes, rows: int, columns: int, *, is_strict: bool
) -> dict[str, Any]:
    words = [str(number) for number in (rows, columns, MOST_CELL)]
    words += ["strict"] if is_strict else []
    done = subprocess.run(  # noqa: S603 - our own script, no text of a person
        [sys.executable, "-I", str(_CHILD), *words],
        input=data,
        capture_output=True,
        timeout=SECONDS,
        check=True,
    )
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer
