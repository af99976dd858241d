"""Books of one claim in memory: what the planned entries come to, without a database."""

from collections import Counter, defaultdict

from claims.rules.books import kinds
from claims.rules.books.planning import Held, Posted, movements, plan_entries


class ShadowBooks:
    """Post what is planned, and keep every entry."""

    def __init__(self):
        self.entries = []
        self.reversed = set()

    def post(self, facts):
        """Post what the facts ask for; return the new entries."""
        made = plan_entries(facts, self.held())
        for one in made:
            self.entries.append(one)
            if one.reverses:
                self.reversed.add(one.reverses)
        return made

    def held(self):
        """Return what the books hold, as a database would be read."""
        slots, standing, totals = {}, defaultdict(list), Counter()
        for number, one in enumerate(self.entries):
            key = str(number)
            totals.update(one.amounts)
            sums = Counter(slots.get(one.slot, {}))
            sums.update(movements(one.amounts))
            slots[one.slot] = {kind: cents for kind, cents in sums.items() if cents}
            if key not in self.reversed and not one.reverses:
                standing[one.slot].append(Posted(key, one.amounts))
        slots = {slot: found for slot, found in slots.items() if found}
        return Held(slots, dict(totals), standing)

    def balance(self, *wanted):
        """Return the sum on these accounts."""
        totals = self.held().totals
        return sum(totals.get(kind, 0) for kind in wanted)

    @property
    def open_cents(self):
        """Return what the books hold as open, gross."""
        return self.balance(*kinds.GROSS)
