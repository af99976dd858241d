"""Where a small mistake can be written into a function, and how it reads then.

Only bodies of functions are changed: a forked process can take their new code without
loading anything again. Tables at module level are compared with outside values by
``tests/published``.
"""

import ast
import copy
import random
from dataclasses import dataclass
from pathlib import Path

_BOUNDARY = {
    ast.Lt: ast.LtE,
    ast.LtE: ast.Lt,
    ast.Gt: ast.GtE,
    ast.GtE: ast.Gt,
    ast.Eq: ast.NotEq,
    ast.NotEq: ast.Eq,
    ast.In: ast.NotIn,
    ast.NotIn: ast.In,
    ast.Is: ast.IsNot,
    ast.IsNot: ast.Is,
}
_SUMS = {ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Add, ast.FloorDiv: ast.Mult}
_ENDS = {"min": "max", "max": "min", "any": "all", "all": "any"}


@dataclass(frozen=True)
class Mutant:
    """One mistake: its file, the line, and how the line's piece reads then."""

    path: str
    line: int
    before: str
    after: str
    place: int
    source: str

    def __str__(self) -> str:
        return f"{self.path}:{self.line}: {self.before}  ->  {self.after}"

    @property
    def lines(self) -> range:
        """Return the lines from the start of its statement to the place itself."""
        starts = [
            node.lineno
            for node in ast.walk(ast.parse(self.source))
            if isinstance(node, ast.stmt)
            and node.lineno <= self.line <= (node.end_lineno or node.lineno)
        ]
        return range(max(starts), self.line + 1)

    @property
    def key(self) -> str:
        """Return what ``explained.txt`` calls it: by its line's words, not number."""
        words = self.source.splitlines()[self.line - 1].strip()
        return f"{self.path}: {words}: {self.before}  ->  {self.after}"


class _Changer(ast.NodeVisitor):
    """Count the places of one tree, and change the one that is asked for."""

    def __init__(self, wanted: int | None = None) -> None:
        self.wanted = wanted
        self.count = 0
        self.depth = 0
        self.found: list[tuple[int, str, str]] = []

    def visit_FunctionDef(self, node: ast.FunctionDef) -> None:
        self.depth += 1
        for statement in node.body:
            self.visit(statement)
        self.depth -= 1

    def visit_Raise(self, node: ast.Raise) -> None:
        """Leave the sentence of a refusal alone."""

    def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
        """Leave the text of a sentence alone."""

    def generic_visit(self, node: ast.AST) -> None:
        if self.depth:
            self._try(node)
        super().generic_visit(node)

    def _try(self, node: ast.AST) -> None:
        change = _change_for(node)
        if change is None:
            return
        if self.wanted is None or self.count == self.wanted:
            before = ast.unparse(node)
            undone = copy.deepcopy(node.__dict__)
            change()
            line = getattr(node, "lineno", 0)
            self.found.append((line, before, ast.unparse(node)))
            if self.wanted is None:
                node.__dict__.update(undone)
        self.count += 1


def _change_for(node: ast.AST):
    if isinstance(node, ast.Compare) and type(node.ops[0]) in _BOUNDARY:
        return lambda: node.ops.__setitem__(0, _BOUNDARY[type(node.ops[0])]())
    if isinstance(node, ast.BinOp) and type(node.op) in _SUMS:
        return lambda: setattr(node, "op", _SUMS[type(node.op)]())
    if isinstance(node, ast.BoolOp):
        other = ast.Or if isinstance(node.op, ast.And) else ast.And
        return lambda: setattr(node, "op", other())
    if isinstance(node, ast.Name) and node.id in _ENDS:
        return lambda: setattr(node, "id", _ENDS[node.id])
    if isinstance(node, ast.Constant) and type(node.value) is bool:
        return lambda: setattr(node, "value", not node.value)
    if isinstance(node, ast.Constant) and type(node.value) is int:
        return lambda: setattr(node, "value", node.value + 1)
    if isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not):
        return lambda: _double(node)
    if isinstance(node, ast.Expr) and _is_droppable(node.value):
        return lambda: setattr(node, "value", ast.Constant(None))
    return None


def _is_droppable(value: ast.expr) -> bool:
    """Say whether this is a call; without super() its function has another shape."""
    return isinstance(value, ast.Call) and "super()" not in ast.unparse(value.func)


def _double(node: ast.UnaryOp) -> None:
    """Turn ``not x`` into ``not not x``."""
    node.operand = ast.UnaryOp(op=ast.Not(), operand=node.operand)


def mutants_of(path: Path, name: str) -> list[Mutant]:
    """Return every mistake that can be written into this file."""
    source = path.read_text(encoding="utf-8")
    every = _Changer()
    every.visit(ast.parse(source))
    return [
        Mutant(name, line, before, after, place, source)
        for place, (line, before, after) in enumerate(every.found)
    ]


def mutated(mutant: Mutant) -> ast.Module:
    """Return the module's tree with the mistake in it."""
    tree = ast.parse(mutant.source)
    _Changer(mutant.place).visit(tree)
    return ast.fix_missing_locations(tree)


def draw(every: list[Mutant], count: int, seed: int) -> list[Mutant]:
    """Draw so many of them, the same for the same seed."""
    every = sorted(every, key=lambda one: (one.path, one.place))
    if count >= len(every):
        return every
    return random.Random(seed).sample(every, count)
