"""What mail systems report of mails that came back: by the rules of RFC 3464, and in words."""

import pytest

from warranties import bounces
from warranties.bounces import Report

ID = "<notice-7-abc@ringkeep.example>"
RETURNED = f"Message-ID: {ID}\nTo: gone@example.com\nSubject: Please cut back the lantana\n"


def dsn(
    *,
    action: str = "failed",
    status: str = "5.1.1",
    said: str = "smtp; 550 5.1.1 No",
    more: str = "",
) -> bytes:
    """A report as RFC 3464 lays it down, made up here."""
    return f"""From: MAILER-DAEMON@mx.example.com
To: office@example.com
Subject: Undelivered
Message-ID: <report@mx.example.com>
MIME-Version: 1.0
Content-Type: multipart/report; report-type=delivery-status; boundary="b"

--b
Content-Type: text/plain

It did not arrive.

--b
Content-Type: message/delivery-status

Reporting-MTA: dns; mx.example.com

Final-Recipient: rfc822; gone@example.com
Action: {action}
Status: {status}
Diagnostic-Code: {said}
{more}
--b
Content-Type: text/rfc822-headers

{RETURNED}
--b--
""".encode()


def in_words(words: str, *, head: str = "From: MAILER-DAEMON@mx.example.com") -> bytes:
    return f"{head}\nSubject: failure notice\n\n{words}\n\n{RETURNED}".encode()


def test_reads_who_what_and_which_mail() -> None:
    assert bounces.read(dsn()) == [
        Report("gone@example.com", "failed", True, "5.1.1", "550 5.1.1 No", ID)
    ]


def test_one_report_for_every_recipient() -> None:
    more = "\nFinal-Recipient: rfc822; full@example.com\nAction: failed\nStatus: 5.2.2\n"

    found = bounces.read(dsn(more=more))

    assert [(each.address, each.no_such) for each in found] == [
        ("gone@example.com", True),
        ("full@example.com", False),
    ]


@pytest.mark.parametrize("action", ["delivered", "relayed", "expanded"])
def test_what_arrived_is_no_bounce(action: str) -> None:
    assert bounces.read(dsn(action=action, status="2.0.0")) == []


@pytest.mark.parametrize(
    ("status", "said", "no_such"),
    [
        # RFC 3463, section 3: x.1.y the address, x.2.y the mailbox, x.4.y the net, x.7.y policy.
        ("5.1.1", "smtp; 550 no", True),
        ("5.1.2", "smtp; 550 no", True),
        ("5.1.6", "smtp; 550 moved", True),
        ("5.2.1", "smtp; 550 disabled", True),
        ("5.1.8", "smtp; 550 bad sender", False),
        ("5.2.2", "smtp; 552 mailbox full", False),
        ("5.3.4", "smtp; 552 too big", False),
        ("4.4.7", "smtp; 451 gave up", False),
        ("4.1.1", "smtp; 450 try later", False),
        ("5.7.1", "smtp; 550 spam", False),
        ("5.0.0", "smtp; 550 User unknown", True),
        ("5.0.0", "smtp; 550 sender domain not found", False),
    ],
)
def test_the_address_is_at_fault_only_where_that_is_said(
    status: str, said: str, no_such: bool
) -> None:
    (found,) = bounces.read(dsn(status=status, said=said))

    assert (found.outcome, found.no_such) == ("failed", no_such)


def test_what_is_only_delayed_waits() -> None:
    (found,) = bounces.read(dsn(action="delayed", status="4.4.1"))

    assert (found.outcome, found.no_such) == ("delayed", False)


@pytest.mark.parametrize(
    ("words", "outcome", "no_such"),
    [
        ("Hi. I wasn't able to deliver.\n<gone@example.com>:\n550 No such user", "failed", True),
        ("Undeliverable: gone@example.com\nThe mailbox is full (#5.2.2)", "failed", False),
        ("Delayed: gone@example.com\nThis is a warning message only.", "delayed", False),
    ],
)
def test_reads_the_words_of_a_mail_system(words: str, outcome: str, no_such: bool) -> None:
    (found,) = bounces.read(in_words(words))

    assert (found.address, found.outcome, found.no_such) == ("gone@example.com", outcome, no_such)
    assert found.message_id == ID


@pytest.mark.parametrize(
    "head",
    [
        "From: Ana <ana@example.com>",
        "From: Ana <ana@example.com>\nAuto-Submitted: auto-replied",
        "From: abuse@example.com\nContent-Type: multipart/report; report-type=feedback-report",
    ],
)
def test_people_absences_and_complaints_are_no_bounces(head: str) -> None:
    assert bounces.read(in_words("550 user unknown, as one says", head=head)) == []


@pytest.mark.parametrize("raw", [b"", b"\0\xff\xfe", b"From: \n\n", dsn()[:300]])
def test_broken_mails_report_nothing(raw: bytes) -> None:
    assert bounces.read(raw) == []
