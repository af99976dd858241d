"""Reading the codes on a photo of a label. The photo is never stored."""

import json
import subprocess
import sys
import threading
from dataclasses import dataclass
from pathlib import Path
from typing import Any

SECONDS = 20
PATIENCE = 20
BUSY = "Busy"

_at_once = threading.BoundedSemaphore(1)
_CHILD = Path(__file__).with_name("label_child.py")


@dataclass(frozen=True)
class LabelReading:
    """The texts of the codes, each with its scanner's prefix; or what went wrong."""

    texts: tuple[str, ...] = ()
    trouble: str = ""


def read_label(photo: bytes) -> LabelReading:
    """Decode a photo's codes in a child process with limits.

    Never raises for a bad photo: ``trouble`` then names what went wrong. One photo is
    read at a time; the next waits 20 seconds for its turn, then gets BUSY.
    """
    if not _at_once.acquire(timeout=PATIENCE):
        return LabelReading(trouble=BUSY)
    try:
        answer = _run_child(photo)
    except (OSError, subprocess.SubprocessError, ValueError) as error:
        return LabelReading(trouble=type(error).__name__)
    finally:
        _at_once.release()
    return LabelReading(tuple(answer["codes"]), answer.get("error", ""))


def _run_child(photo: bytes) -> dict[str, Any]:
    done = subprocess.run(  # noqa: S603 - our own script, no text of a person
        [sys.executable, "-I", str(_CHILD)],
        input=photo,
        capture_output=True,
        timeout=SECONDS,
        check=True,
    )
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer
