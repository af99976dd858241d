"""One line of a setup with all its readings and decisions, as it stands."""

from dataclasses import dataclass

from claims.models import LineDecision, SetupReading
from claims.rules.bench.entries import readings_from, readings_words
from claims.rules.bench.readings import POINTS
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.sign_off import LineState
from inventory.rules.core.text import mid_sentence


@dataclass(frozen=True)
class LineRead:
    """One line with every reading of it, the first one first."""

    line: SetupLine
    readings: tuple[SetupReading, ...]

    @property
    def first(self) -> SetupReading | None:
        """Return the reading as found, or None."""
        return self.readings[0] if self.readings else None

    @property
    def last(self) -> SetupReading | None:
        """Return the reading that counts, or None."""
        return self.readings[-1] if self.readings else None

    @property
    def decision(self) -> LineDecision | None:
        """Return the last decision on this line, or None."""
        found = [one for row in self.readings for one in row.decisions.all()]
        return max(found, key=lambda one: one.pk) if found else None

    @property
    def is_to_set(self) -> bool:
        """Return whether only a setting is out of range, and no damage was marked."""
        last, asked = self.last, self.line.readings
        if last is None or asked is None:
            return False
        return asked.is_set and last.judged == "off" and not (last.signs or last.note)

    @property
    def said(self) -> str:
        """Return what was read last, in words."""
        last = self.last
        if last is None:
            return ""
        parts = [readings_words(readings_from(last.readings)), last.serial, last.note]
        return ". ".join(part for part in parts if part)

    @property
    def adjusted(self) -> int:
        """Return how many readings were taken after it was called an adjustment."""
        decided = [
            one.reading_id
            for row in self.readings
            for one in row.decisions.all()
            if one.decision == "adjustment"
        ]
        return sum(row.pk > min(decided) for row in self.readings) if decided else 0

    @property
    def state(self) -> LineState:
        """Return what the sign-off asks about this line."""
        last = self.last
        if last is None:
            return LineState()
        decision = self.decision
        waits = decision is None or decision.decision == "ask"
        return LineState(
            result=last.result,
            judged=last.judged,
            missing=_missing(self.line, last),
            note=last.note or last.sentence,
            undecided=waits and last.result == "wrong" and not self.is_to_set,
        )


def _missing(line: SetupLine, last: SetupReading) -> tuple[str, ...]:
    if line.readings is None or last.result != "right":
        return ()
    read = readings_from(last.readings)
    return tuple(
        mid_sentence(POINTS[point].label)
        for point in line.readings.points
        if point not in read
    )
