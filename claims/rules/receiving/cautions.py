"""The cautions at the truck: one line beside the act, always there.

Common practice, no source, and not our instructions: local rules, the carrier's and
the maker's go first.
"""

from dataclasses import dataclass

HEADLINE = "Leak, battery, straps, forks: stop and read"
DEFERS = (
    "Your site's own rules, the shipping paper and the maker's instructions go first. "
    "Where they differ from this, follow them."
)


@dataclass(frozen=True)
class DockCaution:
    """One danger at the truck, and what to do."""

    key: str
    about: str
    sentence: str


DOCK_CAUTIONS = (
    DockCaution(
        "leak",
        "Something leaks",
        "Stop. Keep people and flames away. Call the carrier, and the emergency number "
        "on the shipping paper.",
    ),
    DockCaution(
        "battery",
        "A battery leaks, is dented, hot or swollen",
        "Keep away from it. Do not move it and do not ship it. If it smokes, leave and "
        "call the emergency number.",
    ),
    DockCaution(
        "straps",
        "Straps",
        "They are under tension and whip when cut. Stand out of line, wear eye "
        "protection, keep others back.",
    ),
    DockCaution(
        "forks",
        "Forks and pinch points",
        "Stay clear of raised forks and moving loads. Keep hands out from between "
        "crates, forks and trailer.",
    ),
)
