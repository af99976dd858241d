"""A day in the data of an event is said as people read it; what is no day stays."""

from datetime import date
from functools import partial

import pytest

from inventory.rules.core.event_kinds import sentence
from inventory.rules.reckoning.moments import day_words

WRITE = partial(day_words, today=date(2026, 11, 30))


@pytest.mark.parametrize(
    ("kind", "data", "says"),
    [
        ("period.locked", {"through": "2026-11-26"}, "through Thu 26 Nov."),
        ("period.locked", {"through": "2025-12-31"}, "through Wed 31 Dec 2025."),
        ("terms.added", {"supplier": "T", "starts_on": ""}, "in force from ."),
        ("claim.sent", {"number": "C-1", "how": "mail"}, "sent by mail on —."),
        (
            "claim.disallowed",
            {"number": "C-1", "on": "2026-11-26", "reason": "Dated 2026-11-20."},
            "in writing on Thu 26 Nov: Dated 2026-11-20.",
        ),
        ("crates.cleared", {"count": 1}, "No visible damage on 1 crate."),
        ("crates.cleared", {"count": 3}, "No visible damage on 3 crates."),
        (
            "packaging.asked",
            {"who": "the carrier", "on": "2026-11-26", "number": 2},
            "Asked the carrier on Thu 26 Nov about the packaging hold on crate 2.",
        ),
    ],
)
def test_a_day_is_said_as_people_read_it(kind, data, says):
    assert sentence(kind, data, WRITE).endswith(says)
