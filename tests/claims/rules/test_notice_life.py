"""The life of a notice: every reason against an act, and receipt proven again."""

from datetime import date, timedelta

import pytest

from claims.rules.letters.life import LIFE, NoticeDays

TODAY = date(2026, 5, 4)
LATER = TODAY + timedelta(days=1)


def days(on=TODAY, sent_on=TODAY):
    return NoticeDays(today=TODAY, on=on, sent_on=sent_on)


@pytest.mark.parametrize(
    ("state", "act", "facts", "words"),
    [
        ("written", "receive", days(sent_on=None), ["not been sent yet"]),
        ("written", "receive", days(LATER, None), ["not been sent yet", "future"]),
        ("written", "send", days(None, None), ["Enter the day"]),
        (
            "sent",
            "receive",
            days(TODAY - timedelta(days=1)),
            ["before the notice was sent, on Mon 4 May 2026."],
        ),
        ("received", "send", days(), ["already recorded"]),
        ("received", "send", days(LATER), ["already recorded", "future"]),
    ],
)
def test_every_reason_against_is_said(state, act, facts, words):
    reasons = LIFE.decide(state, act, facts).reasons

    assert len(reasons) == len(words)
    assert all(word in reason for word, reason in zip(words, reasons, strict=True))


def test_it_may_be_sent_again_and_its_receipt_put_right():
    assert LIFE.decide("sent", "send", days()).new_state == "sent"
    assert LIFE.decide("received", "receive", days()).new_state == "received"
