"""Tagged parts: which must be kept, and which may be scrapped."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from claims.models import ClaimLine, PartTag
from claims.rules.bench.part_tags import TagFacts, TagVerdict, may_scrap
from claims.rules.claim import life as lifecycle
from inventory.access import scoped
from inventory.models import User
from inventory.queries.core.joined import joined


@dataclass(frozen=True)
class TagRow:
    """One tagged part that is still here, and whether it may be scrapped."""

    tag: PartTag
    verdict: TagVerdict


def tags_joined() -> QuerySet[PartTag]:
    """Return tags with every row joined that the verdict and a list read."""
    lines = (
        ClaimLine.objects.filter(struck_reason="")
        .exclude(claim__state=lifecycle.WITHDRAWN)
        .select_related("claim")
        .order_by("pk")
    )
    return PartTag.objects.select_related(
        "location", "unit__shipment", "finding"
    ).prefetch_related(Prefetch("finding__claim_lines", lines, to_attr="live_lines"))


def verdict_on(tag: PartTag) -> TagVerdict:
    """Return whether this part, read by ``tags_joined``, may be scrapped now."""
    claims = [line.claim for line in _lines(tag)]
    is_over = all(one.state in lifecycle.LIFE.final for one in claims)
    return may_scrap(
        TagFacts(
            has_waiver=tag.waiver_id is not None,
            is_collected=tag.collected_on is not None,
            claim_is_over=is_over if claims else None,
            is_scrapped=tag.scrapped_at is not None,
        )
    )


def _lines(tag: PartTag) -> Iterable[ClaimLine]:
    lines: list[ClaimLine] = joined(tag.finding, "live_lines")
    return lines


def tags_here(person: User) -> list[TagRow]:
    """Return every tagged part still on a shelf, those that may be scrapped first."""
    rows = scoped(tags_joined(), person).filter(collected_on=None, scrapped_at=None)
    found = [TagRow(tag, verdict_on(tag)) for tag in rows.order_by("pk")]
    return sorted(found, key=lambda row: (not row.verdict.allowed, row.tag.pk))
