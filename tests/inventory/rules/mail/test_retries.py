"""When a mail is tried again: RFC 5321, 4.5.4.1 and 4.2.1 (from memory)."""

from datetime import timedelta

import pytest

from inventory.rules.mail.retries import is_final, wait_after

HALF_AN_HOUR = timedelta(minutes=30)


def moments_of_tries():
    """Return how long after the first try each further one comes."""
    waited, tries, found = timedelta(), 1, []
    while (wait := wait_after(tries, waited)) is not None:
        waited, tries = waited + wait, tries + 1
        found.append((wait, waited))
    return found


def test_it_goes_on_for_at_least_four_days_and_then_ends():
    """4.5.4.1: the give-up time generally needs to be at least four to five days."""
    last = moments_of_tries()[-1][1]

    assert timedelta(days=4) <= last <= timedelta(days=5, hours=2)


def test_after_a_few_quick_tries_it_waits_at_least_half_an_hour():
    """4.5.4.1: the retry interval should be at least 30 minutes."""
    waits = [wait for wait, _ in moments_of_tries()]

    assert waits == sorted(waits)
    assert sum(wait < HALF_AN_HOUR for wait in waits) == 5
    assert len(waits) < 120


def test_the_first_tries_are_quick():
    assert wait_after(1, timedelta()) == timedelta(minutes=1)


def test_there_is_no_zeroth_try():
    with pytest.raises(ValueError, match="0"):
        wait_after(0, timedelta())


@pytest.mark.parametrize(
    ("code", "ends"),
    [
        (None, False),  # no reply at all
        (421, False),  # 4yz: the action may be requested again
        (450, False),
        (451, False),
        (550, True),  # 5yz: the action did not and will not occur
        (552, True),
        (554, True),
        (535, False),  # RFC 4954: our own sign-in failed, the mail is sound
        (530, False),
    ],
)
def test_a_reply_code_ends_the_tries_or_not(code, ends):
    assert is_final(code) is ends
