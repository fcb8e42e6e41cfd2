"""What a mail that came back says: to whom it went, whether it is given up, why.

Definition. A report names recipients, each with what became of the mail. "failed": it is given up
and was not delivered. "delayed": it is tried on. `no_such`: it failed because the address is none:
status x.1.y (bad address, host or mailbox moved) or x.2.1 (mailbox disabled), or words that say so
where the status only says 5.0.0 or is missing. A full mailbox, a refusal for what the mail held or
where it came from is no fault of the address. `message_id` is the mail's that came back.
A mail without such a part is a report only when a machine of the mail system wrote it: then its
words before the returned mail are read. Answers from people and their absence notes are none.
Sources: RFC 3464 section 2.3 (fields of a recipient), RFC 3462 (the parts), RFC 3463 section 3
(status codes), RFC 5321 section 6.1 (no report about a report), RFC 3834 (automatic answers).
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from email import message_from_bytes, policy
from email.errors import MessageError
from email.header import decode_header, make_header
from email.message import Message
from typing import Literal, NamedTuple

Outcome = Literal["failed", "delayed"]
# The last two stand in reports of programs that do not keep to the RFC.
ACTIONS: dict[str, Outcome] = {
    "failed": "failed",
    "delayed": "delayed",
    "failure": "failed",
    "error": "failed",
}
STATUS = re.compile(r"(?<![\d.])([245])\.(\d{1,3})\.(\d{1,3})(?![\d.])")
REPLY = re.compile(r"(?<![\d.:/-])([45])\d\d(?=[ -](?:\S|$))")
ADDRESS = re.compile(r"[^\s<>\"'()\[\],;:@]+@[A-Za-z0-9][A-Za-z0-9._-]*[A-Za-z0-9]")
MESSAGE_ID = re.compile(r"^Message-ID:\s*(<[^>\s]+>)", re.IGNORECASE | re.MULTILINE)
DAEMONS = re.compile(
    r"mailer-?daemon|mail[\s._-]*deliver|postmaster|mail delivery|administrator|no-?reply|<>",
    re.IGNORECASE,
)
RETURNED = re.compile(
    r"^\W*(?:-{2,}.*(?:original|returned|copy of|below this line|headers?).*"
    r"|.*(?:copy of|original|returned|undelivered)[\w' ]*(?:message|mail|header)\b.*"
    r"(?:follows|below|headers|included|attached).*"
    r"|original message.*|return-path:.*|received: from.*)$",
    re.IGNORECASE | re.MULTILINE,
)
FAILURE = re.compile(
    r"undeliver|not (?:be )?deliver|(?:un|not |n't )able to deliver|failure notice|failed mail"
    r"|attempting to deliver|could ?n[o']t (?:be )?(?:send|sent|deliver)"
    r"|deliver\w* (?:\w+ ){0,5}(?:fail|error|problem|not possible)"
    r"|fail\w* (?:\w+ ){0,5}(?:deliver|recipient)|returned mail|returned to sender|fatal error"
    r"|invalid (?:final delivery )?(?:recipient|user|address)|unknown (?:local )?(?:user|recipient)"
    r"|user (?:is )?unknown|no such (?:user|recipient)|permanent\w* fail|address(?:es)? had",
    re.IGNORECASE,
)
STILL_TRIED = re.compile(
    r"will (?:continue|keep|be)\s+(?:to\s+)?(?:retr|try|attempt)|still being (?:tried|attempted)"
    r"|will be retried|has been delayed|warning message only|do not need to resend"
    r"|not yet been delivered",
    re.IGNORECASE,
)
NO_SUCH = re.compile(
    r"(?:user|recipient|address|mailbox|account|host|domain|name)\S*\s+(?:\S+\s+){0,3}?"
    r"(?:is |was |are )?(?:unknown|not (?:be )?found|invalid|does(?: not|n't) exist|not exist"
    r"|not listed|not known|disabled|not registered)"
    r"|(?:unknown|no such|invalid|not a valid|nonexistent|non-existent) (?:\w+ ){0,2}?"
    r"(?:user|recipient|mailbox|address|account|host|domain)|couldn't find any host"
    r"|user unknown|doesn't have an? \S+ account|no mx record|unrouteable address"
    r"|host or domain name not found|no mailbox here",
    re.IGNORECASE,
)
NOT_THE_ADDRESS = re.compile(
    r"sender|quota|full|spam|blocked|policy|block ?list|relay|timed? ?out|rejected by",
    re.IGNORECASE,
)

# RFC 3463 section 3.2 and 3.3, by subject and detail.
PLAIN = {
    "1.1": "There is no such mailbox: a slip in what stands before the @, or it was closed.",
    "1.2": "There is no such mail domain: a slip in what stands behind the @, or it was given up.",
    "1.3": "The address is not written as addresses are.",
    "1.6": "The mailbox has moved, and left no new address.",
    "1.10": "The domain takes no mail at all.",
    "2.1": "The mailbox is shut.",
    "4.4": "No mail server is found behind the @.",
}


class Report(NamedTuple):
    """What became of a mail at one address. `address` is "" where it is not said; `status` too."""

    address: str
    outcome: Outcome
    no_such: bool
    status: str
    said: str
    message_id: str


def read(raw: bytes) -> list[Report]:
    """Return what the mail reports, one for every recipient; nothing where it is no report."""
    mail = message_from_bytes(raw, policy=policy.compat32)
    returned = _message_id(mail)
    parts = [part for part in _walk(mail) if part.get_content_type() == "message/delivery-status"]
    if parts:
        fields = [each for part in parts for each in _groups(part)]
        return [found for each in fields if (found := _of_recipient(each, returned))]
    return _in_words(mail, returned)


def says_no_such(said: str) -> bool:
    """Whether a server that refused a recipient says that there is none of that address."""
    return _no_such(_status(said), said)


def in_plain_words(said: str) -> str:
    """Return what the server's words mean for who reads them in the office."""
    status = _status(said)
    return PLAIN.get(status[2:], "The mail server there refuses the address.")


def _walk(mail: Message) -> Iterator[Message]:
    """The parts of the report itself: what it returns is not looked into."""
    yield mail
    if mail.is_multipart() and mail.get_content_maintype() == "multipart":
        for part in mail.get_payload():
            yield from _walk(part)  # type: ignore[arg-type]  # parts of a multipart are messages


def _groups(part: Message) -> list[Message]:
    """The groups of fields: the email package keeps each as a message of its own."""
    groups = part.get_payload()
    return (
        [each for each in groups if isinstance(each, Message)] if isinstance(groups, list) else []
    )


def _of_recipient(fields: Message, returned: str) -> Report | None:
    action = _word(fields["Action"]).lower()
    outcome = ACTIONS.get(action)
    recipient = fields["Final-Recipient"] or fields["Original-Recipient"]
    if outcome is None or recipient is None:
        return None
    said = _said(fields)
    status = _status(_text(fields["Status"])) or _status(said)
    return Report(
        address=_address(_text(recipient)),
        outcome=outcome,
        no_such=outcome == "failed" and _no_such(status, said),
        status=status,
        said=said[:300],
        message_id=returned,
    )


def _said(fields: Message) -> str:
    diagnostic = _text(fields["Diagnostic-Code"])
    return " ".join(diagnostic.partition(";")[2].split() or diagnostic.split())


def _no_such(status: str, said: str) -> bool:
    """Whether the address is at fault. A server's general code is believed less than its words."""
    if status.startswith("4."):
        return False
    kind = status[2:]
    if kind in {"1.7", "1.8"}:  # the sender's address
        return False
    if kind.startswith("1.") and kind != "1.0":
        return True
    if kind == "2.1":
        return not NOT_THE_ADDRESS.search(said)
    vague = kind in {"", "0.0", "1.0", "2.0", "3.0", "4.4", "5.0", "4.1", "7.1"}
    return vague and bool(NO_SUCH.search(said)) and not NOT_THE_ADDRESS.search(said)


def _in_words(mail: Message, returned: str) -> list[Report]:
    """What a mail system says in words of its own; nothing where a person or an absence speaks."""
    if not _of_a_machine(mail):
        return []
    words = _words(mail)
    told = f"{_text(mail['Subject'])}\n{words}"
    named = [_address(each) for each in _text(mail["X-Failed-Recipients"]).split(",")]
    addresses = [each for each in named if each] or ADDRESS.findall(words)[:1]
    status = _status(words)
    if not (
        named[0]
        or status
        or REPLY.search(words)
        or FAILURE.search(told)
        or STILL_TRIED.search(words)
    ):
        return []
    said = " ".join(words.split())
    outcome: Outcome = "delayed" if STILL_TRIED.search(words) else "failed"
    no_such = outcome == "failed" and _no_such(status, said)
    return [
        Report(address, outcome, no_such, status, said[:300], returned)
        for address in addresses or [""]
    ]


def _of_a_machine(mail: Message) -> bool:
    """RFC 3834: what answers of itself says so, and is no report unless the mail system wrote."""
    if mail.get_content_type() == "multipart/report" and "feedback" in str(mail["Content-Type"]):
        return False
    if _text(mail["Auto-Submitted"]).lower().startswith("auto-replied") and not DAEMONS.search(
        _text(mail["From"])
    ):
        return False
    if mail["X-Failed-Recipients"] or _text(mail["Return-Path"]).strip() == "<>":
        return True
    return bool(DAEMONS.search(_text(mail["From"]) or _text(mail["Return-Path"])))


def _words(mail: Message) -> str:
    """The words before the mail that came back."""
    for part in _walk(mail):
        if part.get_content_type() in {"text/plain", "text/html"}:
            text = _decoded(part)
            cut = RETURNED.search(text)
            return text[: cut.start()] if cut and text[: cut.start()].strip() else text
    return ""


def _decoded(part: Message) -> str:
    payload = part.get_payload(decode=True)
    return payload.decode("utf-8", errors="replace") if isinstance(payload, bytes) else ""


def _message_id(mail: Message) -> str:
    """The Message-ID of the mail that came back, or ""; the last one named is the innermost."""
    own = _text(mail["Message-ID"]).strip()
    try:
        whole = "\n".join(_decoded_all(mail))
    except (MessageError, LookupError):
        return ""
    found = [each for each in MESSAGE_ID.findall(whole) if each != own]
    return found[-1] if found else ""


def _decoded_all(mail: Message) -> Iterator[str]:
    """Every part as text, and the heads of the mails within it."""
    for part in mail.walk():
        if part is not mail:
            yield "\n".join(f"{name}: {_text(value)}" for name, value in part.items())
        if not part.is_multipart():
            yield _decoded(part)


def _status(text: str) -> str:
    found = STATUS.search(text)
    return ".".join(found.groups()) if found and found[1] != "2" else ""


def _address(text: str) -> str:
    found = ADDRESS.search(text)
    return found[0] if found else ""


def _word(value: object) -> str:
    return (_text(value).split() or [""])[0].strip("();")


def _text(value: object) -> str:
    """A header as text, whatever it holds."""
    if value is None:
        return ""
    try:
        return str(make_header(decode_header(str(value))))
    except (LookupError, ValueError, MessageError):
        return str(value)
