"""What a person typed ends a paragraph: it may come with a full stop or without one."""

import re
from pathlib import Path

TEMPLATES = Path(__file__).parents[2] / "templates"
TYPED = re.compile(
    # The reason of a packaging hold is ours, and written with a full stop.
    r"(?<!open_hold)\.(?:facts|reason|note|explanation|remark)(?:\|[a-z]+)? }} [A-Z]"
)


def test_no_sentence_of_ours_follows_what_was_typed():
    found = [
        f"{path.name}: {one[0]}"
        for path in sorted(TEMPLATES.rglob("*.html"))
        for one in TYPED.finditer(path.read_text())
    ]
    assert found == []
