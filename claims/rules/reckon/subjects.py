"""Every subject that can be reckoned: this floor's and the ground floor's."""

from claims.rules.reckon.damages import reckon_damages
from claims.rules.reckon.deadlines import reckon_deadlines
from inventory.rules.reckon.subjects import GROUND_FLOOR, Answer

SUBJECTS: dict[str, Answer] = {
    "deadlines": reckon_deadlines,
    "damages": reckon_damages,
    **GROUND_FLOOR,
}
