"""The shapes of what the database derives: a table's SELECT, and a trigger."""

from dataclasses import dataclass

OPEN_WORK = "inventory_openwork"


@dataclass(frozen=True)
class Derived:
    """One derived table, or a part of it: its columns and the SELECT that makes it."""

    table: str
    columns: tuple[str, ...]
    select: str
    part: str = ""

    @property
    def places(self) -> tuple[str, ...]:
        """Return a name for each column of the SELECT, which has none of its own."""
        return tuple(f"c{at}" for at in range(len(self.columns)))

    @property
    def stored(self) -> str:
        """Return the SELECT of what is stored."""
        where = f" WHERE {self.part}" if self.part else ""
        return f"SELECT {', '.join(self.columns)} FROM {self.table}{where}"


@dataclass(frozen=True)
class Follower:
    """One trigger: after an act on a table, these statements.

    With ``watched`` an update counts only where one of these columns changed.
    ``writes`` is the table that must be there for it.
    """

    name: str
    table: str
    act: str
    statements: tuple[str, ...]
    watched: tuple[str, ...] = ()
    writes: str = OPEN_WORK
