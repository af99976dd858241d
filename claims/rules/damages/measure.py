"""The measure of damages: lines to articles, articles to a claim, then the limit.

The full loss is what is claimed. The expected recovery under the limit, and what
was already recovered, are shown with it and never change it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from claims.rules.damages.articles import ArticleLoss, group_articles, work_article
from claims.rules.damages.facts import BASES, DamagesError, Freight, LossLine, Step
from claims.rules.damages.freight import FreightShare, share_freight
from claims.rules.damages.limits import PROBLEMS, Limit, LimitTerms, find_limit


@dataclass(frozen=True)
class WorkedLine:
    """One line's part of the loss, mitigation and freight included, with steps."""

    label: str
    article: str
    loss_cents: int
    steps: tuple[Step, ...]


@dataclass(frozen=True)
class Worksheet:
    """The whole calculation, in cents of ``currency``.

    ``claimed_cents`` is the full loss, the sum of the lines, before recoveries and
    before the limit. ``limit_cents`` is the ceiling of the whole claim, None where
    there is none or ``limit.problem`` says why it is not known; ``limit_sdr`` is
    exact. ``expected_cents`` is the smaller of the two; where the limit goes by the
    article, ``expected_by_article_cents`` caps each article separately.
    ``balance_cents`` is expected less recovered, below zero when too much was
    recovered.
    """

    currency: str
    basis: str
    lines: tuple[WorkedLine, ...]
    freight_cents: int
    claimed_cents: int
    limit: Limit
    limit_cents: int | None
    limit_sdr: Fraction | None
    expected_cents: int
    expected_by_article_cents: int
    recovered_cents: int
    balance_cents: int
    steps: tuple[Step, ...]


def measure_damages(
    lines: Sequence[LossLine],
    *,
    basis: str,
    currency: str,
    freight: Freight | None = None,
    terms: LimitTerms | None = None,
) -> Worksheet:
    """Return the worksheet of these lines.

    ``basis`` is "destination" (market value here) or "invoice". Raise DamagesError
    for no line, an unknown basis, or lines that contradict each other.
    """
    if basis not in BASES or not lines:
        raise DamagesError("A worksheet needs a basis and at least one line.")
    terms = _terms(terms, freight)
    articles = [
        work_article(name, places, lines, currency)
        for name, places in group_articles(lines)
    ]
    share = share_freight(freight, articles, basis=basis, regime=terms.regime)
    worked = _worked_lines(lines, articles, share)
    limit = find_limit(
        terms,
        [article.mass for article in articles],
        currency=currency,
        charges_cents=share.total_cents,
    )
    return _closed(
        _Open(currency, basis, lines, articles, share, worked, limit),
    )


@dataclass(frozen=True)
class _Open:
    """All the parts of a worksheet before its closing lines."""

    currency: str
    basis: str
    lines: Sequence[LossLine]
    articles: Sequence[ArticleLoss]
    share: FreightShare
    worked: tuple[WorkedLine, ...]
    limit: Limit


def _terms(terms: LimitTerms | None, freight: Freight | None) -> LimitTerms:
    """Take the shipment's weight from the freight where the limit has none."""
    found = terms or LimitTerms()
    if found.shipment_mass is None and freight and freight.total_mass is not None:
        return replace(found, shipment_mass=freight.total_mass)
    return found


def _worked_lines(
    lines: Sequence[LossLine], articles: Sequence[ArticleLoss], share: FreightShare
) -> tuple[WorkedLine, ...]:
    found: dict[int, WorkedLine] = {}
    for article in articles:
        rows = zip(article.places, article.parts, article.steps, strict=True)
        for place, part, steps in rows:
            more = _extras(lines[place], share.by_place.get(place, 0))
            loss = part + sum(step.cents or 0 for step in more)
            total = Step("Loss on this line", loss, is_total=True)
            found[place] = WorkedLine(
                lines[place].label, article.name, loss, (*steps, *more, total)
            )
    return tuple(found[place] for place in range(len(lines)))


def _extras(line: LossLine, freight_cents: int) -> list[Step]:
    more = []
    if line.mitigation_cents:
        words = "plus cost of keeping the loss down"
        more.append(Step(words, line.mitigation_cents))
    if freight_cents:
        more.append(Step("plus freight we paid on it", freight_cents))
    return more


def _by_article(parts: _Open, claimed: int, expected: int) -> int:
    """Return the expected recovery where each article is capped separately."""
    if not parts.limit.by_article:
        return expected
    found = 0
    for article, ceiling in zip(parts.articles, parts.limit.by_article, strict=True):
        loss = sum(parts.worked[place].loss_cents for place in article.places)
        found += min(loss, ceiling)
    return min(found, claimed, expected)


def _closed(parts: _Open) -> Worksheet:
    claimed = sum(line.loss_cents for line in parts.worked)
    ceiling = parts.limit.ceiling_cents
    expected = claimed if ceiling is None else min(claimed, ceiling)
    by_article = _by_article(parts, claimed, expected)
    recovered = sum(line.recovered_cents for line in parts.lines)
    steps = [
        *parts.share.steps,
        Step("Claimed: all lines, the full loss", claimed, is_total=True),
        *parts.limit.steps,
        *_limit_steps(parts.limit, claimed),
        Step("Expected", expected, is_total=True),
    ]
    if by_article < expected:
        words = "If the carrier limits each article separately, no more than"
        steps.append(Step(words, by_article))
    if recovered:
        steps.append(Step("less already recovered", -recovered))
        steps.append(Step("Balance", expected - recovered, is_total=True))
    return Worksheet(
        currency=parts.currency,
        basis=parts.basis,
        lines=parts.worked,
        freight_cents=parts.share.total_cents,
        claimed_cents=claimed,
        limit=parts.limit,
        limit_cents=ceiling,
        limit_sdr=parts.limit.sdr,
        expected_cents=expected,
        expected_by_article_cents=by_article,
        recovered_cents=recovered,
        balance_cents=expected - recovered,
        steps=tuple(steps),
    )


def _limit_steps(limit: Limit, claimed: int) -> list[Step]:
    if limit.problem:
        return [Step(PROBLEMS[limit.problem].removesuffix("."))]
    if limit.ceiling_cents is None:
        return []
    if claimed <= limit.ceiling_cents:
        words = "The loss is below the limit, so the limit changes nothing"
        return [Step(words)]
    return [Step("The loss is above the limit, so the limit is the most to expect")]
