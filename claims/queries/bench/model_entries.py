"""What the maker's manual says of a model, as entered last."""

from claims.models import ModelEntry
from claims.rules.bench.adjusting import Adjuster
from claims.rules.bench.entries import adjuster_from, model_key, target_from
from claims.rules.bench.targets import Target


def entry_of(model: str) -> ModelEntry | None:
    """Return the last entry of this model, or None where none is on file."""
    return (
        ModelEntry.objects.filter(name_key=model_key(model)).order_by("-number").first()
    )


def targets_of(entry: ModelEntry | None, line: str) -> list[Target]:
    """Return the targets that the entry has for this line."""
    found = [target_from(record) for record in entry.targets] if entry else []
    return [target for target in found if target.line == line]


def adjusters_of(entry: ModelEntry | None, line: str) -> list[Adjuster]:
    """Return the adjusters that the entry has for this line."""
    found = [adjuster_from(record) for record in entry.adjusters] if entry else []
    return [adjuster for adjuster in found if adjuster.line == line]
