"""What the page of one line shows: targets, opinion, the next step, the clock."""

from dataclasses import dataclass

from claims.models import Deadline, SetupReading
from claims.queries.bench.model_entries import adjusters_of, targets_of
from claims.queries.bench.setup_lines import LineRead
from claims.queries.bench.setups import SetupPage
from claims.rules.bench.adjusting import Opinion, WrongLine, opinion_of
from claims.rules.bench.entries import readings_from, readings_words
from claims.rules.bench.leveling import Step, next_step
from claims.rules.bench.readings import POINTS
from claims.rules.bench.targets import Target, judge
from inventory.models import Unit
from inventory.rules.core.text import mid_sentence


@dataclass(frozen=True)
class EarlierReading:
    """One reading of a line as it is shown again."""

    row: SetupReading
    words: str


@dataclass(frozen=True)
class LinePage:
    """One line with what the model's entry says of it. ``notice`` is a running clock."""

    read: LineRead
    targets: tuple[str, ...]
    earlier: tuple[EarlierReading, ...]
    opinion: Opinion | None
    advice: Step | None
    notice: Deadline | None


def line_page(page: SetupPage, read: LineRead) -> LinePage:
    """Return the page of one line of a setup."""
    targets = targets_of(page.entry, read.line.key)
    last = read.last
    is_wrong = last is not None and last.result == "wrong"
    return LinePage(
        read=read,
        targets=tuple(target_words(target) for target in targets),
        earlier=tuple(
            EarlierReading(row, readings_words(readings_from(row.readings)))
            for row in read.readings
        ),
        opinion=_opinion(page, read, targets) if is_wrong else None,
        advice=advice_of(page, read) if is_wrong else None,
        notice=notice_clock(page.setup.unit) if is_wrong else None,
    )


def target_words(target: Target) -> str:
    """Return a target in words, with its page of the manual."""
    names = [mid_sentence(POINTS[point].label) for point in target.points]
    joined = " and ".join([", ".join(names[:-1]), names[-1]] if names[1:] else names)
    about = {
        "each": joined if target.points != ("only",) else "",
        "apart": f"{joined} apart",
        "lower": f"{names[0]} against {names[-1]}",
    }[target.rule]
    head = f"{about[:1].upper()}{about[1:]}: " if about else ""
    return f"{head}{target.allowed} ({target.page})."


def advice_of(page: SetupPage, read: LineRead) -> Step | None:
    """Return the next step of leveling, or None where the line compares nothing.

    Every reading since the first is gone through, so that the step after an
    adjustment knows what the step before it moved.
    """
    targets = targets_of(page.entry, read.line.key)
    if not any(target.rule != "each" for target in targets):
        return None
    adjusters = adjusters_of(page.entry, read.line.key)
    step: Step | None = None
    for row in read.readings:
        step = next_step(
            readings=readings_from(row.readings),
            targets=targets,
            adjusters=adjusters,
            last=step,
        )
    return step


def notice_clock(unit: Unit) -> Deadline | None:
    """Return the clock of the notice for concealed damage, as last counted, or None.

    It is shown even where it was superseded: while nobody has decided, a line that is
    not right may still prove to be damage.
    """
    rows = Deadline.objects.filter(shipment=unit.shipment_id, duty="concealed-notice")
    if unit.crate is not None and unit.crate.delivery_id is not None:
        rows = rows.filter(delivery=unit.crate.delivery_id)
    return rows.order_by("-pk").first()


def _opinion(page: SetupPage, read: LineRead, targets: list[Target]) -> Opinion:
    last = read.last
    judged = judge(readings_from(last.readings), targets) if last else None
    off = [row.off for row in judged.verdicts if row.off] if judged else []
    signs = {sign for row in read.readings for sign in row.signs}
    asked = read.line.readings
    return opinion_of(
        WrongLine(
            off=off,
            unit=asked.unit if asked else "in",
            signs=frozenset(signs),
            is_set=bool(asked and asked.is_set),
            adjusters=adjusters_of(page.entry, read.line.key),
            tries=read.adjusted,
            has_first_reading=any(row.readings or row.note for row in read.readings),
            has_photo=any(row.photos.all() for row in read.readings),
        )
    )
