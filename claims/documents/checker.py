"""The program by which the carrier checks a claim file without our software."""

from functools import cache
from pathlib import Path


@cache
def checker_text() -> str:
    """Return the program's text, stored with this module."""
    return Path(__file__).with_name("check_packet.py").read_text(encoding="utf-8")
