"""The setup lists of every kind of machine, with their versions."""

from collections import defaultdict
from dataclasses import dataclass

from claims.models import SetupList
from claims.rules.bench.list_edits import left_out
from claims.rules.bench.setup_lines import SetupLine
from claims.rules.bench.setup_lists import KINDS, MachineKind


@dataclass(frozen=True)
class KindOfList:
    """One kind of machine: its versions, the last one first; none before it was used."""

    kind: MachineKind
    versions: tuple[SetupList, ...]

    @property
    def number(self) -> int:
        """Return the number of the version that counts; 0 before any was stored."""
        return self.versions[0].number if self.versions else 0

    @property
    def lines(self) -> tuple[SetupLine, ...]:
        """Return the lines that count."""
        return self.versions[0].rows if self.versions else self.kind.lines

    @property
    def out(self) -> list[SetupLine]:
        """Return the lines of our list that are left out."""
        return left_out(self.kind.key, self.lines)

    @property
    def used(self) -> set[str]:
        """Return the key of every line that any version ever had."""
        stored = {record["key"] for row in self.versions for record in row.lines}
        return stored | {line.key for line in self.kind.lines}


def list_kinds() -> list[KindOfList]:
    """Return every kind with its versions, in one query."""
    found: dict[str, list[SetupList]] = defaultdict(list)
    for row in SetupList.objects.select_related("made_by").order_by("-number"):
        found[row.kind].append(row)
    return [KindOfList(kind, tuple(found[kind.key])) for kind in KINDS.values()]


def kind_of_list(key: str) -> KindOfList | None:
    """Return one kind with its versions, or None for an unknown one."""
    rows = SetupList.objects.filter(kind=key).select_related("made_by")
    kind = KINDS.get(key)
    return KindOfList(kind, tuple(rows.order_by("-number"))) if kind else None
