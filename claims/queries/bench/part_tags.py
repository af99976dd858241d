"""Tagged parts: which must be kept, and which may be scrapped."""

from collections.abc import Iterable
from dataclasses import dataclass

from django.db.models import Prefetch, QuerySet

from claims.models import Claim, ClaimLine, Finding, FindingPart, PartTag
from claims.rules.bench.part_tags import (
    TAG_ENDS,
    PartLabel,
    TagFacts,
    TagVerdict,
    may_scrap,
)
from claims.rules.claim import life as lifecycle
from inventory.access import scoped
from inventory.models import User
from inventory.queries.core.joined import joined
from inventory.rules.reckoning.moments import day_words

MOST_GONE = 30
"""How many of the parts that are gone a list shows."""


@dataclass(frozen=True)
class TagRow:
    """One tagged part, its claims, and whether it may be scrapped."""

    tag: PartTag
    verdict: TagVerdict

    @property
    def claims(self) -> list[Claim]:
        """Return the claims that ask for its finding."""
        return claims_of(self.tag)

    @property
    def why(self) -> str:
        """Return what allows it to be scrapped, or why it is kept."""
        ended = TAG_ENDS.get(self.verdict.ended_by, "")
        if self.verdict.allowed:
            return f"{ended}."
        return self.verdict.reason.removesuffix(" Nothing was changed.")


@dataclass(frozen=True)
class TagList:
    """The tagged parts that a person may see: here, and the last of those gone."""

    free: tuple[TagRow, ...]
    kept: tuple[TagRow, ...]
    gone: tuple[PartTag, ...]


def tags_joined() -> QuerySet[PartTag]:
    """Return tags with every row joined that the verdict and a list read."""
    lines = (
        ClaimLine.objects.filter(struck_reason="")
        .exclude(claim__state=lifecycle.WITHDRAWN)
        .select_related("claim")
        .order_by("pk")
    )
    return PartTag.objects.select_related(
        "location",
        "unit__shipment__location",
        "finding__shipment__location",
        "tagged_by",
        "scrapped_by",
        "waiver",
    ).prefetch_related(Prefetch("finding__claim_lines", lines, to_attr="live_lines"))


def verdict_on(tag: PartTag) -> TagVerdict:
    """Return whether this part, read by ``tags_joined``, may be scrapped now."""
    claims = claims_of(tag)
    # The supplier who took a claim over may still want the part.
    over = set(lifecycle.LIFE.final) - {lifecycle.HANDED_OVER}
    is_over = all(one.state in over for one in claims)
    return may_scrap(
        TagFacts(
            has_waiver=tag.waiver_id is not None,
            is_collected=tag.collected_on is not None,
            claim_is_over=is_over if claims else None,
            is_scrapped=tag.scrapped_at is not None,
        )
    )


def claims_of(tag: PartTag) -> list[Claim]:
    """Return the claims that ask for the part's finding; read by ``tags_joined``."""
    lines: Iterable[ClaimLine] = joined(tag.finding, "live_lines")
    return list({line.claim.pk: line.claim for line in lines}.values())


def row_of(tag: PartTag) -> TagRow:
    """Return a part read by ``tags_joined`` with its verdict."""
    return TagRow(tag, verdict_on(tag))


def tags_here(person: User) -> list[TagRow]:
    """Return every tagged part still on a shelf, those that may be scrapped first."""
    rows = scoped(tags_joined(), person).filter(collected_on=None, scrapped_at=None)
    found = [row_of(tag) for tag in rows.order_by("pk")]
    return sorted(found, key=lambda row: (not row.verdict.allowed, row.tag.pk))


def tag_list(person: User) -> TagList:
    """Return the tagged parts of this person's locations."""
    here = tags_here(person)
    gone = scoped(tags_joined(), person).exclude(collected_on=None, scrapped_at=None)
    return TagList(
        free=tuple(row for row in here if row.verdict.allowed),
        kept=tuple(row for row in here if not row.verdict.allowed),
        gone=tuple(gone.order_by("-pk")[:MOST_GONE]),
    )


def untagged_parts(finding: Finding) -> list[FindingPart]:
    """Return the parts of a finding's repair that no tag names yet."""
    named = {tag.part.casefold() for tag in finding.part_tags.all()}
    parts = finding.parts.all()
    return [part for part in parts if part.description.casefold() not in named]


def label_of(tag: PartTag) -> PartLabel:
    """Return what is printed on the tag of a part read by ``tags_joined``."""
    numbers = [claim.number for claim in claims_of(tag)]
    return PartLabel(
        number=f"T-{tag.number:04d}",
        part=tag.part,
        machine=str(tag.unit),
        finding=str(tag.finding),
        claim=", ".join(numbers) or "none yet",
        bill=f"PRO {tag.unit.shipment.pro_number}",
        tagged=f"{day_words(tag.tagged_on, None)}, {tag.tagged_by}",
        shelf=tag.shelf,
        company=tag.location.name,
    )
