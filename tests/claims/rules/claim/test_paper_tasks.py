"""A missing document in somebody's hands: common practice, no source."""

from datetime import date

import pytest

from claims.rules.claim.paper_tasks import (
    against_day_to_come,
    days_words,
    task_state,
    usual_role,
)
from claims.rules.claim.papers import PAPERS
from claims.rules.core.sending import lacks_tracking, sent_words

TODAY = date(2026, 3, 16)


@pytest.mark.parametrize(
    ("left", "state", "words"),
    [
        (-2, "late", "2 days late"),
        (-1, "late", "1 day late"),
        (0, "running", "Today"),
        (2, "running", "2 days left"),
        (3, "calm", "3 days left"),
    ],
)
def test_the_days_left_decide_the_color(left, state, words):
    assert (task_state(left), days_words(left)) == (state, words)


def test_every_document_is_usually_somebodys():
    found = {paper.key: usual_role(paper.who) for paper in PAPERS}

    assert found["freight-bill"] == "accounting"
    assert found["receipt"] == "clerk"
    assert all(found.values())
    assert usual_role("Nobody we know") == ""


def test_a_past_day_is_refused():
    assert "past" in against_day_to_come(date(2026, 3, 15), TODAY)
    assert against_day_to_come(TODAY, TODAY) == ""


@pytest.mark.parametrize(
    ("how", "number", "lacks"),
    [
        ("post", "", True),
        ("courier", "", True),
        ("post", "9407", False),
        ("email", "", False),
        ("portal", "", False),
    ],
)
def test_what_goes_on_paper_has_a_tracking_number(how, number, lacks):
    assert lacks_tracking(how, number) is lacks


def test_a_sending_is_told_in_one_breath():
    assert sent_words("post", to="Gannet Overland", tracking="9407") == (
        "certified mail, 9407, to Gannet Overland"
    )
    assert sent_words("email") == "email"
