"""Missing documents and the people who get them, for pages, desks and reminders.

A document is done when it is on file or not needed: nobody has to tick it off. Every
function uses a fixed number of queries, however many claims there are.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from django.db.models import QuerySet
from django.urls import reverse
from django.utils.http import urlencode

from claims.models import Claim, PaperTask
from claims.queries.claim.gaps import missing_keys
from claims.rules.claim.life import LIFE
from claims.rules.claim.paper_tasks import days_words, task_state
from claims.rules.claim.papers import PAPERS, PaperRule
from inventory.access import scoped
from inventory.errands import Errand
from inventory.models import User
from inventory.rules.core.text import mid_sentence

RULES = {paper.key: paper for paper in PAPERS}


@dataclass(frozen=True)
class PaperTaskRow:
    """One missing document in one person's hands, as a line of a desk."""

    task: PaperTask
    claim: Claim
    rule: PaperRule
    days_left: int

    @property
    def act(self) -> str:
        """Return what is to be done."""
        return f"Get the {mid_sentence(self.rule.label)}"

    @property
    def reason(self) -> str:
        """Return what was said with it, or who usually has it."""
        return self.task.note or self.rule.who

    @property
    def why(self) -> str:
        """Return which claim lacks it, and what was said with it."""
        words = f"Claim {self.claim.number}, {self.claim.shipment.carrier.name}"
        return f"{words}. {self.task.note}" if self.task.note else words

    @property
    def who(self) -> User:
        """Return whose it is."""
        return self.task.owner

    @property
    def day(self) -> date:
        """Return the day to have it by."""
        return self.task.by_day

    @property
    def state(self) -> str:
        """Return late, running or calm."""
        return task_state(self.days_left)

    @property
    def days_words(self) -> str:
        """Return "Today", "3 days left" or "1 day late"."""
        return days_words(self.days_left)

    @property
    def query(self) -> str:
        """Return what the page that adds it is asked for: the bill and the kind."""
        asked = {"shipment": str(self.claim.shipment_id), "kind": self.rule.kinds[0]}
        return f"?{urlencode(asked)}"

    @property
    def address(self) -> str:
        """Return where the document is added, with its kind chosen already."""
        return f"{reverse('add_evidence')}{self.query}"


def paper_task_rows(claims: QuerySet[Claim], today: date) -> list[PaperTaskRow]:
    """Return every document of these claims that someone is to get, by its day.

    ``claims`` are narrowed to what the person may see.
    """
    live = claims.filter(state__in=LIFE.live).order_by()
    last = _last_tasks(PaperTask.objects.filter(claim__in=live.values("pk")))
    return _still_missing(last, today)


def my_paper_tasks(person: User, today: date) -> list[PaperTaskRow]:
    """Return what this person is to get, at the locations they work at."""
    tasks = scoped(PaperTask.objects.all(), person).filter(
        claim__state__in=LIFE.live,
        claim__in=PaperTask.objects.filter(owner=person).values("claim_id"),
    )
    mine = [row for row in _last_tasks(tasks) if row.owner_id == person.pk]
    return _still_missing(mine, today)


def paper_errands(person: User, today: date) -> list[Errand]:
    """Return what this person is to get, for the desk where their work begins."""
    return [
        Errand(row.act, row.why, row.day, row.days_words, row.state, row.address)
        for row in my_paper_tasks(person, today)
    ]


def _last_tasks(tasks: QuerySet[PaperTask]) -> list[PaperTask]:
    """Return the row that counts for each claim and document."""
    joined = tasks.select_related("owner", "claim__shipment__carrier").order_by("pk")
    return list({(row.claim_id, row.paper): row for row in joined}.values())


def _still_missing(tasks: Sequence[PaperTask], today: date) -> list[PaperTaskRow]:
    claims = list({row.claim_id: row.claim for row in tasks}.values())
    missing = missing_keys(claims) if claims else {}
    rows = [
        PaperTaskRow(row, row.claim, RULES[row.paper], (row.by_day - today).days)
        for row in tasks
        if row.paper in missing.get(row.claim_id, ())
    ]
    return sorted(rows, key=lambda one: (one.day, one.task.pk))


def tasks_of(claim: Claim, today: date) -> dict[str, PaperTaskRow]:
    """Return who gets which document of one claim, by the document's key. One query."""
    return {
        row.paper: PaperTaskRow(row, claim, RULES[row.paper], (row.by_day - today).days)
        for row in _last_tasks(claim.paper_tasks.all())
    }
