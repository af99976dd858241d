"""Every desk, list, search and story, opened by its person, with its work counted.

SQLite counts the steps of its virtual machine, PostgreSQL the buffers that it read.
Unlike seconds both come out the same on any machine.
"""

import json
import re
from contextlib import contextmanager
from dataclasses import dataclass

from django.db import connection
from django.urls import reverse

STEPS = 20
"""How many steps of SQLite's machine lie between two countings."""

_SEARCHES = {"serial": "48N1", "pro": "PRO0", "mark": "HT1X", "claim": "C1N"}

LISTS = {
    "dock": ("rosa", "mina"),
    "deliveries": ("rosa",),
    "expected": ("rosa",),
    "expected?which=arrived": ("rosa",),
    "crates": ("rosa", "tomas"),
    "crates?which=ready": ("rosa",),
    "crates?which=credited": ("rosa",),
    "bench": ("tomas",),
    "part_tags": ("tomas",),
    "claims": ("mina",),
    "claims?all=settled": ("mina",),
    "carriers": ("mina",),
    "suppliers": ("mina",),
    "outbox": ("mina",),
    "returns": ("rosa",),
    "returns?which=all": ("rosa",),
    "plan_returns": ("abel",),
    "memos": ("abel",),
    "enter_memo": ("abel",),
    "charge_deposits": ("abel",),
    "short_credits": ("abel",),
    "short_credits?which=all": ("abel",),
    "suspense": ("abel",),
    "suspense?which=all": ("abel",),
    "statements": ("abel",),
    "deposits": ("abel",),
    "balances": ("abel",),
    "month_end": ("abel",),
    "trial_balance": ("abel",),
    "ledger_account": ("abel",),
    "books": ("abel",),
    "claim_entries": ("abel",),
    "journal": ("abel",),
    "welcome": ("ada",),
    "find_crate": ("rosa",),
    "find_crate?code=HT1X": ("rosa",),
    **{f"search?q={text}": ("mina",) for text in _SEARCHES.values()},
}
"""Pages of no one row, each with the people who open it."""

STORIES = {
    "delivery": ("rosa", "delivery"),
    "tailgate": ("rosa", "waiting"),
    "shipment": ("mina", "shipment"),
    "unit": ("tomas", "unit"),
    "finding": ("mina", "finding"),
    "claim": ("mina", "claim"),
    "crate": ("rosa", "crate"),
    "deposit": ("abel", "deposit"),
    "crate_return": ("abel", "crate_return"),
    "memo": ("abel", "memo"),
}
"""Pages of one row, each with who opens it and the row."""


@dataclass(frozen=True)
class Opened:
    """One opening of a page: the work it took, and the bytes it sent."""

    work: int
    queries: int
    size: int


def pages(story):
    """Return each page with who opens it and its address."""
    found = {}
    for name, people in LISTS.items():
        page, _, query = name.partition("?")
        for person in people:
            key = name if person == people[0] else f"{name} ({person})"
            found[key] = (person, reverse(page) + (f"?{query}" if query else ""))
    for name, (person, kind) in STORIES.items():
        found[name] = (person, reverse(name, args=[getattr(story, kind).pk]))
    return found


def opened(client, who, person, url):
    """Open a page that was opened before; return what it took."""
    client.force_login(getattr(who, person))
    client.get(url)  # what is looked up once is looked up now
    with counting() as count:
        answer = client.get(url)
    assert answer.status_code == 200, (url, answer.status_code)
    return Opened(count.work, count.queries, len(answer.content))


class _Count:
    work = queries = 0


@contextmanager
def counting():
    """Count the work of every statement inside."""
    count = _Count()
    ask = _buffers if connection.vendor == "postgresql" else _passed
    with connection.execute_wrapper(lambda *said: ask(count, *said)):
        if connection.vendor == "sqlite":
            _count_steps(count)
        try:
            yield count
        finally:
            if connection.vendor == "sqlite":
                connection.connection.set_progress_handler(None, STEPS)


def _count_steps(count):
    def some_more():
        count.work += STEPS
        return 0

    connection.ensure_connection()
    connection.connection.set_progress_handler(some_more, STEPS)


def _passed(count, execute, sql, *more):
    count.queries += 1
    return execute(sql, *more)


def _buffers(count, execute, sql, *more):
    params, many, _ = more
    count.queries += 1
    if re.match(r"\s*(SELECT|WITH)\b", sql, re.IGNORECASE) and not many:
        with connection.connection.cursor() as cursor:
            cursor.execute(f"EXPLAIN (ANALYZE, BUFFERS, FORMAT JSON) {sql}", params)
            told = cursor.fetchone()[0]
        plan = (json.loads(told) if isinstance(told, str) else told)[0]["Plan"]
        count.work += plan["Shared Hit Blocks"] + plan["Shared Read Blocks"]
    return execute(sql, *more)
