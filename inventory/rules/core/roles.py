"""Who may do what: one table, read by the gates and by the test that walks it.

The acts here are those of the ground floor; the floor above adds its own once.

An act is refused by default. A person may hold several roles at one location.
"""

from dataclasses import dataclass

from inventory.rules.core.registry import Registry

CLERK = "clerk"
TECHNICIAN = "technician"
MANAGER = "manager"
ACCOUNTING = "accounting"

ROLES = {
    CLERK: "Receiving clerk",
    TECHNICIAN: "Technician",
    MANAGER: "Manager",
    ACCOUNTING: "Accounting",
}

ADMINISTRATOR = "administrator"
"""Held everywhere by whoever manages people and locations; it is never assigned."""

TITLES = {role: ROLES[role] for role in (MANAGER, ACCOUNTING, CLERK, TECHNICIAN)}
"""What stands below a person's name on a letter: the first of these that they hold."""

_ALL = frozenset(ROLES)

_OWN: dict[str, frozenset[str]] = {
    "see": _ALL,
    "add-evidence": _ALL,
    "complete-papers": _ALL,
    "log-delivery": frozenset({CLERK, MANAGER}),
    "look": frozenset({CLERK, TECHNICIAN, MANAGER}),
    "see-mail": frozenset({CLERK, MANAGER, ACCOUNTING}),
    "keep-mail": frozenset({CLERK, MANAGER}),
    "withhold-evidence": frozenset({MANAGER}),
    "keep-partners": frozenset({MANAGER, ADMINISTRATOR}),
    "keep-crates": frozenset({CLERK, TECHNICIAN, MANAGER}),
    "ship-crates": frozenset({CLERK, MANAGER}),
    "see-deposits": frozenset({MANAGER, ACCOUNTING}),
    "plan-returns": frozenset({MANAGER, ACCOUNTING}),
    "keep-terms": frozenset({MANAGER, ACCOUNTING, ADMINISTRATOR}),
    "keep-accounts": frozenset({ACCOUNTING, ADMINISTRATOR}),
    "post-deposits": frozenset({ACCOUNTING}),
    "approve-write-off": frozenset({MANAGER}),
}

ACTS: Registry[str, frozenset[str]] = Registry("acts of roles", _OWN)
"""Each act with the roles that may do it."""


@dataclass(frozen=True)
class Verdict:
    """Whether an act is allowed, and the sentence that says why not."""

    allowed: bool
    reason: str = ""


def decide(held: frozenset[str], act: str) -> Verdict:
    """Return whether someone with these roles may do this act.

    Raise KeyError for an act that is not in the table: an unlisted act is a
    mistake in the code, never permission.
    """
    allowed = ACTS[act]
    if held & allowed:
        return Verdict(allowed=True)
    named = {**ROLES, ADMINISTRATOR: "Administrator"}
    return Verdict(
        allowed=False,
        reason=f"Only {_listed([named[role] for role in named if role in allowed])} can "
        "do this. Nothing was changed. Ask a colleague with that role, or your "
        "administrator.",
    )


def _listed(names: list[str]) -> str:
    """Return "a receiving clerk, technician or manager"; accounting has no article."""
    words = [name.lower() for name in names]
    for place, name in enumerate(words):
        if name != ACCOUNTING:
            words[place] = f"{'an' if name[0] in 'aeiou' else 'a'} {name}"
            break
    *others, last = words
    return f"{', '.join(others)} or {last}" if others else last
