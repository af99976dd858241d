"""Whose work something is: the person who has it, or the role where nobody has."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from claims.rules.claim.todo import Who
from inventory.models import Assignment, User
from inventory.rules.core.roles import ROLES


@dataclass(frozen=True)
class Staff:
    """The people of some locations by role, as one person sees them."""

    person: User
    holders: Mapping[tuple[int, str], list[User]]

    @classmethod
    def of(cls, locations: Iterable[int], person: User) -> "Staff":
        """Read who holds which role there, in one query."""
        rows = (
            Assignment.objects.filter(location__in=locations, person__is_active=True)
            .select_related("person")
            .order_by("pk")
        )
        holders: dict[tuple[int, str], list[User]] = defaultdict(list)
        for row in rows:
            holders[row.location_id, row.role].append(row.person)
        return cls(person, holders)

    def who(self, location: int, role: str, named: int | None = None) -> Who:
        """Return whose work it is: the person named, the only holder, or the role.

        ``named`` is a person's key; it counts while that person holds the role there.
        """
        holders = self.holders.get((location, role), [])
        found = [one for one in holders if one.pk == named] or holders
        if len(found) == 1:
            is_mine = found[0] == self.person
            return Who("You" if is_mine else self._short(found[0]), is_mine)
        return Who(ROLES[role], self.person in found)

    def person_named(self, one: User) -> Who:
        """Return the person that something was given to."""
        is_mine = one == self.person
        return Who("You" if is_mine else self._short(one), is_mine)

    def _short(self, one: User) -> str:
        """Return the first name where nobody else here has it, else the whole name."""
        first = str(one).partition(" ")[0]
        everyone = {other for rows in self.holders.values() for other in rows}
        same = [other for other in everyone if str(other).partition(" ")[0] == first]
        return first if len(same) < 2 else str(one)
