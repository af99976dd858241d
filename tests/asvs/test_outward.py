"""Ways to other machines are locked, or the check before a start says so."""

import pytest

from config.outward import open_ways

HERE = {
    "database": {"HOST": "", "OPTIONS": {}},
    "mail_host": "",
    "mail_is_locked": False,
    "bucket": "",
}


def ways(**over):
    return open_ways(**HERE | over)


def database(host, mode=None):
    return {"HOST": host, "OPTIONS": {"sslmode": mode} if mode else {}}


@pytest.mark.parametrize(
    ("over", "said"),
    [
        ({"database": database("db.example")}, "sslmode=verify-full"),
        # "require" takes any certificate: PostgreSQL's manual, chapter "SSL Support".
        ({"database": database("db.example", "require")}, "sslmode=verify-full"),
        ({"mail_host": "mail.example"}, "EMAIL_USE_TLS"),
        ({"bucket": "http://store.example:8080"}, "https"),
    ],
)
def test_a_way_in_the_clear_is_told(over, said):
    (sentence,) = ways(**over)
    assert said in sentence


@pytest.mark.parametrize(
    "over",
    [
        {"database": database("db.example", "verify-full")},
        {"database": database("/run/postgresql")},
        {"database": database("127.0.0.1")},
        {"mail_host": "mail.example", "mail_is_locked": True},
        {"mail_host": "localhost"},
        {"bucket": "https://store.example"},
        {"bucket": "http://127.0.0.1:9000"},
    ],
)
def test_a_locked_way_and_one_on_this_machine_are_not(over):
    assert ways(**over) == []
