"""Ask the recorded questions again, and print the sentences that differ.

``reckon_recorded.json`` holds 200 questions to ``manage.py reckon`` of all subjects,
good and bad, with the answers and exit codes of version 0.2.0. Keys, dates, amounts,
flags and exit codes never change; sentences may. For the list side by side::

    .venv/bin/python -m tests.claims.rules.reckon.reckoned_again
"""

import io
import json
import os
import sys
from contextlib import contextmanager
from pathlib import Path

SENTENCES = frozenset(("authority", "counted", "notes", "problem", "refusal", "steps"))
"""The keys whose values are free text or lists of it."""

RECORDED = Path(__file__).with_name("reckon_recorded.json")


def recorded():
    """Return the recorded rows, in order."""
    return json.loads(RECORDED.read_text(encoding="utf-8"))


def ask_again(row):
    """Return what the command answers today, in the shape of a recorded row."""
    from django.core.management import call_command

    given = bytes.fromhex(row["given_hex"]) if "given_hex" in row else None
    answer, refusal, code = io.StringIO(), io.StringIO(), 0
    words = [row["subject"]] if row["subject"] else []
    with _standard_input(row["given"].encode() if given is None else given):
        try:
            call_command("reckon", *words, stdout=answer, stderr=refusal)
        except SystemExit as left:
            code = left.code
    asked = {key: row[key] for key in ("subject", "given", "given_hex") if key in row}
    if code:
        return {**asked, "code": code, "refusal": refusal.getvalue().strip()}
    return {**asked, "code": code, "answer": json.loads(answer.getvalue())}


@contextmanager
def _standard_input(data):
    before, sys.stdin = sys.stdin, io.TextIOWrapper(io.BytesIO(data))
    try:
        yield
    finally:
        sys.stdin = before


def without_sentences(value):
    """Return the value with each sentence replaced by whether there is one."""
    if isinstance(value, dict):
        return {
            key: bool(inner) if key in SENTENCES else without_sentences(inner)
            for key, inner in value.items()
        }
    if isinstance(value, list):
        return [without_sentences(inner) for inner in value]
    return value


def sentences(value, path=""):
    """Return each sentence under the path of its key."""
    if isinstance(value, str | int | float | None):
        return {path: str(value)} if path.split(".")[-2:][0] in SENTENCES else {}
    pairs = value.items() if isinstance(value, dict) else enumerate(value)
    found = {}
    for key, inner in pairs:
        if key in SENTENCES and isinstance(inner, str):
            found[f"{path}.{key}"] = inner
        else:
            found |= sentences(inner, f"{path}.{key}")
    return found


def main():
    """Print every sentence that differs, once, with the first question it answers."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    import django

    django.setup()
    printed = set()
    for number, row in enumerate(recorded(), start=1):
        before, after = sentences(row), sentences(ask_again(row))
        for path in dict.fromkeys([*before, *after]):
            pair = before.get(path, "(none)"), after.get(path, "(none)")
            if pair[0] != pair[1] and pair not in printed:
                printed.add(pair)
                sys.stdout.write(
                    f"{number} {row['subject']} {path}\n  - {pair[0]}\n  + {pair[1]}\n"
                )
    sys.stdout.write(f"{len(printed)} sentences differ.\n")


if __name__ == "__main__":
    main()
