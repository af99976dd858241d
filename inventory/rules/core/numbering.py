"""The running numbers that our own papers carry: the kind's letter, dock, year, number.

"C-QN-2026-0003" is a claim and "R-QN-2026-0003" a return, so that no two papers of one
dock bear the same number. Numbers given before there were letters ("QN-2026-0002")
stay, and the running number goes on from them.
"""

from collections.abc import Iterable

CLAIM = "C"
REMITTANCE = "M"
RETURN = "R"


def stems(kind: str, code: str, year: int) -> tuple[str, str]:
    """Return what the numbers of a kind, dock and year begin with: now, and before."""
    before = f"{code}-{year}-"
    return f"{kind}-{before}", before


def next_number(kind: str, code: str, year: int, taken: Iterable[str]) -> str:
    """Return the number after the highest of ``taken``: "R-QN-2026-0007".

    ``taken`` are the numbers of this kind, with its letter or from before.
    """
    now, before = stems(kind, code, year)
    used = (_running(number, now) or _running(number, before) for number in taken)
    return f"{now}{max(used, default=0) + 1:04d}"


def _running(number: str, stem: str) -> int:
    rest = number.removeprefix(stem)
    return int(rest) if rest != number and rest.isascii() and rest.isdigit() else 0
