"""Freight in the loss: who paid it, for which goods, and never counted twice.

Market value at destination already includes the freight. On invoice value the
freight that the claimant paid is added, to goods lost, never to repairs: the
carrier keeps its freight on what it delivered (GAO B-231357, text seen). CMR Art
23(4) with 25 and CIM Art 30 and 32 refund it in proportion to the loss.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from claims.rules.damages.articles import ArticleLoss
from claims.rules.damages.facts import Freight, Step
from inventory.rules.reckoning.money import allocate, round_fraction

IN_PROPORTION = ("cmr", "cim")
"""Regimes that refund freight in proportion to the loss, damage included."""


@dataclass(frozen=True)
class FreightShare:
    """Freight in the loss: cents by line place, in all, and why."""

    by_place: dict[int, int]
    total_cents: int
    steps: tuple[Step, ...]


_NONE_OF_OURS = FreightShare({}, 0, ())


@dataclass(frozen=True)
class _Carried:
    """Goods on one line: their weight, and how much of them was lost (0 to 1)."""

    place: int
    kilograms: Fraction | None
    lost: Fraction


def share_freight(
    freight: Freight | None,
    articles: Sequence[ArticleLoss],
    *,
    basis: str,
    regime: str,
) -> FreightShare:
    """Return the freight that is part of the loss, on the lines it belongs to."""
    if freight is None or not freight.borne_cents:
        return _NONE_OF_OURS
    if basis == "destination":
        words = "Freight is not added: the market value here already includes it"
        return FreightShare({}, 0, (Step(words),))
    goods = [each for article in articles for each in _carried(article, regime)]
    lost = [each for each in goods if each.lost]
    if not lost:
        words = "Freight is not added: nothing was lost, and repairs bear none"
        return FreightShare({}, 0, (Step(words),))
    return _shared(freight, goods, lost)


def _carried(article: ArticleLoss, regime: str) -> list[_Carried]:
    mass = article.mass.kilograms if article.mass else None
    first = article.places[0]
    if article.is_lost:
        return [_Carried(_place_of_loss(article), mass, Fraction(1))]
    if regime in IN_PROPORTION:
        value = article.value_cents
        lost = Fraction(article.loss_cents, value) if value else Fraction(0)
        return [_Carried(first, mass, lost)]
    parts = [
        _Carried(place, line.mass.kilograms, Fraction(1))
        for place, line in zip(article.places, article.lines, strict=True)
        if line.outcome == "short" and line.mass
    ]
    return [_Carried(first, mass, Fraction(0)), *parts]


def _place_of_loss(article: ArticleLoss) -> int:
    for place, line in zip(article.places, article.lines, strict=True):
        if line.outcome == "total":
            return place
    return article.places[0]


def _shared(
    freight: Freight, goods: Sequence[_Carried], lost: Sequence[_Carried]
) -> FreightShare:
    whole_lost = len(lost) == len(goods) and all(each.lost == 1 for each in lost)
    weights = [each.kilograms for each in lost]
    known = [weight for weight in weights if weight is not None]
    if len(known) < len(lost):
        if not (whole_lost and freight.total_mass is None):
            return FreightShare({}, 0, (Step(_NO_WEIGHT),))
        return _handed_out(freight.borne_cents, lost, [Fraction(1)] * len(lost), _ALL)
    whole, words = _whole(freight, goods)
    if whole is None or not whole:
        return FreightShare({}, 0, (Step(_NO_WEIGHT),))
    shares = [each.lost * kg for each, kg in zip(lost, known, strict=True)]
    part = min(sum(shares, Fraction(0)) / whole, Fraction(1))
    return _handed_out(round_fraction(part * freight.borne_cents), lost, shares, words)


_NO_WEIGHT = (
    "Freight is not added: it is shared by weight, and a weight is missing. Enter "
    "the weight of each article and of the whole shipment"
)
_ALL = "Freight we paid, for a shipment lost as a whole"
_BY_WEIGHT = "Freight we paid, by weight of what was lost"
_OF_THE_LINES = f"{_BY_WEIGHT}, these lines taken to be the whole shipment"


def _whole(freight: Freight, goods: Sequence[_Carried]) -> tuple[Fraction | None, str]:
    if freight.total_mass is not None:
        return freight.total_mass.kilograms, _BY_WEIGHT
    masses = [each.kilograms for each in goods]
    known = [mass for mass in masses if mass is not None]
    if len(known) < len(goods):
        return None, _NO_WEIGHT
    return sum(known, Fraction(0)), _OF_THE_LINES


def _handed_out(
    cents: int, lost: Sequence[_Carried], shares: Sequence[Fraction], words: str
) -> FreightShare:
    weights = list(shares) if sum(shares, Fraction(0)) else [Fraction(1)] * len(lost)
    by_place: dict[int, int] = {}
    for each, part in zip(lost, allocate(cents, weights), strict=True):
        by_place[each.place] = by_place.get(each.place, 0) + part
    return FreightShare(by_place, cents, (Step(words, cents),))
