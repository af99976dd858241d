"""The what-if command: one JSON object in, one JSON object out, no database."""

import json
from collections.abc import Callable
from typing import Any

from claims.rules.reckon.damages import reckon_damages
from claims.rules.reckon.deadlines import reckon_deadlines
from inventory.rules.reckon.credit import reckon_credit
from inventory.rules.reckon.identifier import reckon_identifier
from inventory.rules.reckon.period import reckon_period
from inventory.rules.reckon.reading import ReckonError, named, parse_object
from inventory.rules.reckon.return_plan import reckon_return_plan

__all__ = ["SUBJECTS", "ReckonError", "reckon"]


SUBJECTS: dict[str, Callable[[dict[str, Any]], dict[str, Any]]] = {
    "deadlines": reckon_deadlines,
    "period": reckon_period,
    "damages": reckon_damages,
    "identifier": reckon_identifier,
    "credit": reckon_credit,
    "return-plan": reckon_return_plan,
}


def reckon(subject: str, text: str) -> str:
    """Answer the JSON object in ``text`` about ``subject`` with JSON text.

    Raise ReckonError, one clear line, for an unknown subject or bad input.
    """
    answer = SUBJECTS.get(subject)
    if answer is None:
        raise ReckonError(
            f"{named(subject)} is not a subject; use one of {', '.join(SUBJECTS)}."
        )
    return json.dumps(answer(parse_object(text)), indent=2)
