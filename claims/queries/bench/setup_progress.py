"""How far the setups of many machines are."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from claims.models import Setup, SetupReading
from inventory.models import Unit


@dataclass(frozen=True)
class Progress:
    """How far a setup is, in lines of its list."""

    done: int
    wrong: int
    total: int

    @property
    def words(self) -> str:
        """Return it in words."""
        tail = f", {self.wrong} not right" if self.wrong else ""
        return f"Setup, {self.done} of {self.total} done{tail}"


def progress_of(units: Sequence[Unit]) -> dict[int, Progress]:
    """Return how far each setup that has begun is, in two queries."""
    begun = Setup.objects.filter(unit__in=units).select_related("setup_list")
    lists = {row.unit_id: row.setup_list for row in begun.order_by("pk")}
    results: dict[int, dict[str, str]] = defaultdict(dict)
    read = SetupReading.objects.filter(setup__unit__in=units).order_by("pk")
    for key, line, result in read.values_list("setup__unit_id", "line", "result"):
        results[key][line] = result
    found = {}
    for key, standing in lists.items():
        keys = {record["key"] for record in standing.lines}
        last = {line: one for line, one in results[key].items() if line in keys}
        wrong = list(last.values()).count("wrong")
        found[key] = Progress(len(last), wrong, len(keys))
    return found
