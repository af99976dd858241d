"""The loss on one article: repairs and remaining loss summed, then capped.

The cap is the value less salvage: a repair that costs more than the article is
worth is no measure of the loss (GAO B-193195, text seen).
"""

from collections.abc import Sequence
from dataclasses import dataclass

from claims.rules.damages.facts import DamagesError, LossLine, Step
from inventory.rules.reckoning.measures import Mass
from inventory.rules.reckoning.money import allocate, amount_words


@dataclass(frozen=True)
class ArticleLoss:
    """The loss on one article, and each line's part of it, in cents.

    ``places`` are the lines' places in the claim. ``parts`` add up to
    ``loss_cents``; ``steps`` holds one list for each line.
    """

    name: str
    places: tuple[int, ...]
    lines: tuple[LossLine, ...]
    value_cents: int
    loss_cents: int
    parts: tuple[int, ...]
    steps: tuple[tuple[Step, ...], ...]
    mass: Mass | None

    @property
    def is_lost(self) -> bool:
        """Return whether the whole article is a total loss or was never delivered."""
        outcomes = {line.outcome for line in self.lines}
        return "total" in outcomes or outcomes == {"short"}


def group_articles(lines: Sequence[LossLine]) -> list[tuple[str, tuple[int, ...]]]:
    """Return each article's name with the places of its lines, in first order."""
    found: dict[tuple[bool, str], list[int]] = {}
    for place, line in enumerate(lines):
        key = (True, line.article) if line.article else (False, str(place))
        found.setdefault(key, []).append(place)
    return [
        (lines[places[0]].article or lines[places[0]].label, tuple(places))
        for places in found.values()
    ]


def work_article(
    name: str, places: tuple[int, ...], lines: Sequence[LossLine], currency: str
) -> ArticleLoss:
    """Return the loss on the article with its lines at ``places``.

    Raise DamagesError where the lines contradict each other.
    """
    own = tuple(lines[place] for place in places)
    value = _value(name, own)
    residue, words = _residue(name, own)
    raw = [_raw(line, value, residue) for line in own]
    steps = [_line_steps(line, value, residue, words) for line in own]
    cap = max(value - residue, 0)
    parts = raw
    if sum(raw) > cap:
        parts = allocate(cap, raw)
        for place, part in enumerate(parts):
            steps[place] += _cap_steps(
                name, (sum(raw), value, residue, part), words, currency
            )
    return ArticleLoss(
        name=name,
        places=places,
        lines=own,
        value_cents=value,
        loss_cents=sum(parts),
        parts=tuple(parts),
        steps=tuple(tuple(each) for each in steps),
        mass=_mass(name, own),
    )


def _one(name: str, what: str, amounts: Sequence[int]) -> int:
    stated = {amount for amount in amounts if amount}
    if len(stated) > 1:
        raise DamagesError(
            f"{name}: the lines state different amounts as its {what}. State it once."
        )
    return stated.pop() if stated else 0


def _value(name: str, lines: tuple[LossLine, ...]) -> int:
    whole = [line for line in lines if line.outcome != "short"] or list(lines)
    values = {line.value_cents for line in whole}
    if len(values) > 1:
        raise DamagesError(
            f"{name}: the lines state different values of one article. "
            "State the same value on each."
        )
    return values.pop()


def _residue(name: str, lines: tuple[LossLine, ...]) -> tuple[int, str]:
    """Return what the article is still worth: the greater of salvage and sale."""
    salvage = _one(name, "salvage", [line.salvage_cents for line in lines])
    proceeds = _one(name, "proceeds", [line.proceeds_cents for line in lines])
    if proceeds and not any(line.outcome in {"total", "as-is"} for line in lines):
        raise DamagesError(
            f"{name}: proceeds need an article that was sold, total or as is."
        )
    if proceeds >= salvage and proceeds:
        return proceeds, "sale price"
    return salvage, "salvage"


def _mass(name: str, lines: tuple[LossLine, ...]) -> Mass | None:
    whole = [line for line in lines if line.outcome != "short"] or list(lines)
    masses = [line.mass for line in whole if line.mass is not None]
    if len({mass.kilograms for mass in masses}) > 1:
        raise DamagesError(
            f"{name}: the lines state different weights of one article. "
            "State the weight of the complete article."
        )
    return masses[0] if masses else None


def _raw(line: LossLine, value: int, residue: int) -> int:
    if line.outcome == "repair":
        return line.repair_cents
    if line.outcome == "short":
        return line.value_cents
    remaining = max(value - residue, 0)
    return remaining + (line.repair_cents if line.outcome == "as-is" else 0)


def _line_steps(line: LossLine, value: int, residue: int, words: str) -> list[Step]:
    if line.outcome == "repair":
        if not line.repair_cents:
            return [Step("Repair, no price given, counted as zero", 0)]
        return [Step("Repair", line.repair_cents)]
    if line.outcome == "short":
        return [Step("Not delivered, worth", line.value_cents)]
    steps = [Step("Total loss, worth" if line.outcome == "total" else "Worth", value)]
    if residue:
        steps.append(Step(f"less {words}", -min(residue, value)))
    if line.outcome == "as-is" and line.repair_cents:
        steps.append(Step("plus repairs made before the sale", line.repair_cents))
    if line.outcome == "total" and line.repair_cents:
        steps.append(Step("The repair price is not added: it is a total loss"))
    return steps


def _cap_steps(
    name: str, amounts: tuple[int, int, int, int], words: str, currency: str
) -> list[Step]:
    together, value, residue, part = amounts
    cap = amount_words(max(value - residue, 0), currency)
    less = f" less {words} {amount_words(residue, currency)}" if residue else ""
    return [
        Step(
            f"The losses on {name} total {amount_words(together, currency)}, but it "
            f"is worth {amount_words(value, currency)}{less}: no more than {cap}"
        ),
        Step(f"This line's share of {cap}", part, is_total=True),
    ]
