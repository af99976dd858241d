"""The program by which the other side checks a packet without ours."""

from functools import cache
from pathlib import Path


@cache
def checker_text() -> str:
    """Return the program's text as it is kept beside this module."""
    return Path(__file__).with_name("check_packet.py").read_text(encoding="utf-8")
