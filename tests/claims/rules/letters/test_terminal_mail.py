"""The mail to the carrier's terminal: its facts, and its form as a file."""

import email
from dataclasses import replace
from email.policy import default
from urllib.parse import parse_qs, urlsplit

import pytest

from claims.rules.letters.terminal_mail import MailBill, MailFacts, compose_mail
from inventory.documents.core.mails import Attached, mail_file

B2 = MailBill(
    "B2",
    "PRO B2, crates: 2 billed.\nCrate 1: dented.",
    "Driver refused to sign",
    "5:41 AM",
)
FACTS = MailFacts(
    to="terminal@gannet.example",
    carrier="Gannet Overland",
    arrived="Thu 26 Nov 2026, 5:00 AM (-06:00)",
    driver="Lou Parr",
    trailer="T-7",
    sender="Riverside",
    sender_lines=("1200 Levee Road",),
    written_by="Rosa Field",
    bills=(B2, replace(B2, pro="C3", ending="No driver present")),
    photos=("receipt-1.jpg",),
    not_attached=2,
)
DATE = "Thu, 26 Nov 2026 11:50:00 +0000"


def test_it_states_the_facts_the_exceptions_in_full_and_how_each_ended():
    mail = compose_mail(FACTS)

    assert mail.subject == "Exceptions at delivery, PRO B2 and C3"
    for said in (
        "Thu 26 Nov 2026, 5:00 AM (-06:00), trailer T-7, driver Lou Parr",
        f"PRO B2: driver refused to sign, 5:41 AM.\n{B2.words}",
        "PRO C3: no driver present, 5:41 AM.",
        "Photos attached: receipt-1.jpg. We have 2 photos more",
        "Rosa Field\nRiverside\n1200 Levee Road",
    ):
        assert said in mail.body
    assert "signed with" not in mail.body


def test_what_is_not_known_is_not_said():
    body = compose_mail(
        replace(FACTS, driver="", trailer="", photos=(), not_attached=0)
    ).body

    assert "driver ." not in body
    assert "trailer" not in body
    assert "hotos" not in body


def test_the_link_opens_the_same_mail():
    mail = compose_mail(replace(FACTS, to="a&b@gannet.example"))

    link = urlsplit(mail.address)
    asked = parse_qs(link.query)
    assert (link.scheme, link.path) == ("mailto", "a%26b@gannet.example")
    assert asked == {"subject": [mail.subject], "body": [mail.body]}


@pytest.mark.parametrize(
    "files", [(), (Attached("r.jpg", "image/jpeg", b"\xff\xd8!"),)]
)
def test_the_file_is_the_same_mail_and_the_same_bytes_twice(files):
    mail = compose_mail(replace(FACTS, written_by="Zoë Field"))

    data = mail_file(mail, files, date=DATE)

    assert data == mail_file(mail, files, date=DATE)
    read = email.message_from_bytes(data, policy=default)
    assert (read["To"], read["Subject"], read["X-Unsent"]) == (
        mail.to,
        mail.subject,
        "1",
    )
    body = read.get_body().get_content().replace("\r\n", "\n")
    assert body.strip() == mail.body
    assert [one.get_content() for one in read.iter_attachments()] == [
        one.data for one in files
    ]


def test_a_name_cannot_add_a_head_line():
    mail = compose_mail(
        replace(FACTS, bills=(replace(B2, pro="B2\nBcc: x@y.example"),))
    )

    with pytest.raises(ValueError, match="linefeed"):
        mail_file(mail, (), date=DATE)
