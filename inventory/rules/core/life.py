"""The life of a record: its states, its acts, and every reason against an act.

A claim, a crate, a return, a difference and a notice have one ``Life`` each. The
actions, the queries, the pages and the tables in DEVELOPERS.md all ask it, so that
no other place decides what is possible in which state.
"""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import product
from typing import Generic, TypeVar

FactsT = TypeVar("FactsT")

FEW_ENDS = 2
"""An act with more ends than this leads back to where the record stood."""

_BEFORE = "before"

Need = Callable[[FactsT], str]
"""A condition: the empty text where it is met, else the sentence against."""


@dataclass(frozen=True)
class State(Generic[FactsT]):
    """One state of a life.

    ``words`` name it on every page. ``against`` says why an act that cannot start
    here cannot. ``next_step`` says what must happen next; the first of ``instead``
    that has something to say goes before it. ``tone`` colors its status mark.
    Nothing has to follow a state that ``is_final``.
    """

    words: str
    against: str
    next_step: str
    tone: str = "running"
    instead: tuple[Need[FactsT], ...] = ()
    is_final: bool = False


@dataclass(frozen=True)
class Act(Generic[FactsT]):
    """One act of a life.

    ``ends`` gives, for each state in which the act may start, the states it may
    lead to. ``role`` is a key of ``inventory.rules.core.roles.ACTS``: who may do it.
    ``bars`` are conditions on the record alone, so a page does not offer an act that
    one of them forbids; ``needs`` also ask what the person typed. ``unfit`` is a
    sharper sentence than the state's own, by state.
    """

    label: str
    role: str
    ends: Mapping[str, tuple[str, ...]]
    bars: tuple[Need[FactsT], ...] = ()
    needs: tuple[Need[FactsT], ...] = ()
    unfit: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True)
class Verdict:
    """Where an act leads, or every reason against it. Exactly one is given."""

    new_state: str | None
    reasons: tuple[str, ...] = ()

    @property
    def is_allowed(self) -> bool:
        """Say whether the act is possible."""
        return self.new_state is not None

    @property
    def sentence(self) -> str:
        """Return the reasons as one text, or nothing where the act is possible."""
        return " ".join((*self.reasons, "Nothing was changed.")) if self.reasons else ""


def leads(starts: Iterable[str], *ends: str) -> dict[str, tuple[str, ...]]:
    """Return the ends of an act that leads from each start to one of ``ends``."""
    return dict.fromkeys(starts, ends)


def stays(starts: Iterable[str]) -> dict[str, tuple[str, ...]]:
    """Return the ends of an act that leaves the state as it is."""
    return {state: (state,) for state in starts}


@dataclass(frozen=True)
class Life(Generic[FactsT]):
    """The states of a record in their order, and the acts between them.

    The first state is where a record begins.
    """

    states: Mapping[str, State[FactsT]]
    acts: Mapping[str, Act[FactsT]]

    @property
    def first(self) -> str:
        """Return the state in which a record begins."""
        return next(iter(self.states))

    @property
    def final(self) -> frozenset[str]:
        """Return the states that nothing has to follow."""
        return frozenset(key for key, one in self.states.items() if one.is_final)

    @property
    def live(self) -> frozenset[str]:
        """Return the states that something must still follow."""
        return frozenset(self.states) - self.final

    def can_start(self, state: str, act: str) -> bool:
        """Say whether the act may start in this state, whatever else it needs.

        Raise KeyError for a state or an act that is not in the life.
        """
        if state not in self.states:
            raise KeyError(state)
        return state in self.acts[act].ends

    def starts(self, act: str) -> tuple[str, ...]:
        """Return the states in which the act may start, in their order."""
        return tuple(state for state in self.states if self.can_start(state, act))

    def decide(
        self, state: str, act: str, facts: FactsT, *, to: str | None = None
    ) -> Verdict:
        """Return where ``act`` leads from ``state``, or every reason against it.

        ``to`` chooses among several ends, as the result of a check does. Raise
        KeyError for a state or an act that is not in the life, and ValueError for an
        end that the act does not lead to from here.
        """
        rule = self.acts[act]
        reasons = [] if self.can_start(state, act) else [self._against(state, rule)]
        conditions = (*rule.bars, *rule.needs)
        reasons += [sentence for need in conditions if (sentence := need(facts))]
        if reasons:
            return Verdict(None, tuple(reasons))
        ends = rule.ends[state]
        if to is None and len(ends) == 1:
            return Verdict(ends[0])
        if to not in ends:
            raise ValueError(f"{act} leads from {state} to {ends}, not to {to!r}.")
        return Verdict(to)

    def acts_from(self, state: str, facts: FactsT | None = None) -> tuple[str, ...]:
        """Return the acts that may start in this state, in their order.

        With ``facts``, leave out those that the record itself forbids.
        """
        possible = (key for key in self.acts if self.can_start(state, key))
        if facts is None:
            return tuple(possible)
        return tuple(
            key
            for key in possible
            if not any(bar(facts) for bar in self.acts[key].bars)
        )

    def next_step(self, state: str, facts: FactsT) -> str:
        """Return the one sentence that says what must happen next."""
        found = self.states[state]
        told = (sentence for one in found.instead if (sentence := one(facts)))
        return next(told, found.next_step)

    def lead(self, state: str, facts: FactsT) -> str:
        """Return the next step as the first sentence of a page."""
        step = self.next_step(state, facts)
        return f"{step}." if self.states[state].is_final else f"Next: {step}."

    def words(self, state: str) -> str:
        """Return what people call this state."""
        return self.states[state].words

    def table(self) -> str:
        """Return the life, act by act, as a Markdown table."""
        rows = ["| act | right | from | to |", "|---|---|---|---|"]
        for act in self.acts.values():
            for ends, starts in self._grouped(act).items():
                left = ", ".join(_key(state) for state in starts)
                right = " or ".join(_key(state) for state in ends) or "stays"
                rows.append(f"| {act.label} | {act.role} | {left} | {right} |")
        return "\n".join(rows)

    def diagram(self) -> str:
        """Return the life as a Mermaid state diagram; an act that stays is no arrow.

        An act that may lead to many states leads to the one from before.
        """
        lines = ["stateDiagram-v2", f"    [*] --> {_node(self.first)}"]
        for key, state in self.states.items():
            lines.append(f'    state "{state.words}" as {_node(key)}')
            if state.is_final:
                lines.append(f"    {_node(key)} --> [*]")
        arrows = self._arrows()
        if any(end == _BEFORE for _start, end in arrows):
            lines.append(f'    state "the state before" as {_BEFORE}')
        for (start, end), labels in arrows.items():
            lines.append(f"    {_node(start)} --> {_node(end)}: {'; '.join(labels)}")
        return "\n".join(lines)

    def _arrows(self) -> dict[tuple[str, str], list[str]]:
        """Return the labels of the acts between each two states, in their order."""
        found: dict[tuple[str, str], list[str]] = {}
        for start, act in product(self.states, self.acts.values()):
            ends = act.ends.get(start, ())
            for end in ends if len(ends) <= FEW_ENDS else (_BEFORE,):
                if end != start:
                    found.setdefault((start, end), []).append(act.label)
        return found

    def _grouped(self, act: Act[FactsT]) -> dict[tuple[str, ...], list[str]]:
        """Return the starts of an act by its ends; no end stands for staying."""
        by_ends: dict[tuple[str, ...], list[str]] = {}
        for state in (state for state in self.states if state in act.ends):
            by_ends.setdefault(act.ends[state], []).append(state)
        grouped: dict[tuple[str, ...], list[str]] = {}
        for ends, starts in by_ends.items():
            is_loop = len(ends) == 1 and [*ends] == starts
            grouped.setdefault(() if is_loop else ends, []).extend(starts)
        return grouped

    def _against(self, state: str, act: Act[FactsT]) -> str:
        return act.unfit.get(state, self.states[state].against)


def _node(state: str) -> str:
    return state.replace("-", "_")


def _key(state: str) -> str:
    return state or "not tracked"
