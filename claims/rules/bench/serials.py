"""Whether a serial read off a plate is the one listed."""

import re

_ALIKE = str.maketrans("OQILSBZ", "0011582")
"""Letters that are read for a figure, and the figure."""


def _bare(serial: str) -> str:
    return re.sub(r"[^0-9A-Z]", "", serial.upper())


def compare_serial(
    read: str, listed: str, *, of_engine: bool = False
) -> tuple[bool, str]:
    """Return whether they are the same, and one sentence.

    Case, spaces and hyphens do not count. Letters that look like figures are named,
    never forgiven.
    """
    if not listed.strip():
        return True, f"Read: {read.strip()}. None was listed."
    one, other = _bare(read), _bare(listed)
    if one == other:
        return True, "Matches the listed serial."
    what = "engine" if of_engine else "plate"
    sentence = f"The {what} reads {read.strip()}, the papers say {listed.strip()}."
    if one.translate(_ALIKE) == other.translate(_ALIKE):
        sentence += " Only a letter and a figure that look alike differ: read it again."
    return False, sentence
