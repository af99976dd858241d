"""Who may do the acts of the upper floor: its part of the one table of acts."""

from inventory.rules.core.roles import (
    ACCOUNTING,
    ADMINISTRATOR,
    CLERK,
    MANAGER,
    TECHNICIAN,
)

ACTS: dict[str, frozenset[str]] = {
    "sign-receipt": frozenset({CLERK, MANAGER}),
    "note-receipt": frozenset({CLERK, MANAGER}),
    "inspect": frozenset({TECHNICIAN, MANAGER}),
    "state-findings": frozenset({TECHNICIAN}),
    "send-out": frozenset({CLERK, TECHNICIAN, MANAGER}),
    "see-claims": frozenset({MANAGER, ACCOUNTING}),
    "see-carriers": frozenset({MANAGER, ACCOUNTING, ADMINISTRATOR}),
    "price": frozenset({MANAGER}),
    "decide": frozenset({MANAGER}),
    "release-hold": frozenset({MANAGER}),
    "release-packaging": frozenset({MANAGER}),
    "make-claim": frozenset({MANAGER}),
    "give-paper": frozenset({MANAGER, ACCOUNTING}),
    "record-payment": frozenset({MANAGER, ACCOUNTING}),
    "settle-claim": frozenset({MANAGER}),
    "build-packet": frozenset({MANAGER}),
}
"""Each act with the roles that may do it. "decide" covers routes and answers."""
