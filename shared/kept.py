"""The mails that wait in var/outbox as .eml files, read safely: text and names, no live HTML."""

import os
from base64 import b64encode
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from email import message_from_bytes, policy
from email.message import EmailMessage
from pathlib import Path

from django.conf import settings

STAMP = "%Y%m%dT%H%M%S%f"
LONGEST_HEAD = 64 * 1024  # bytes of a mail in which its headers are looked for


@dataclass(frozen=True, slots=True)
class KeptHead:
    """What a list shows of a mail."""

    name: str
    at: datetime
    to: str
    subject: str


@dataclass(frozen=True, slots=True)
class KeptMail(KeptHead):
    headers: list[tuple[str, str]]
    text: str
    html: str
    attached: list[str]


def kept_names(at_most: int | None = None) -> list[str]:
    """Return the mails' file names, newest first; no file is opened."""
    folder = Path(settings.OUTBOX_DIR)
    files = os.listdir(folder) if folder.is_dir() else []  # noqa: PTH208  # no path for each
    names = (name.removesuffix(".eml") for name in files if name.endswith(".eml"))
    return sorted(names, reverse=True)[:at_most]


def kept_path(name: str) -> Path | None:
    """Return where the mail of that name is kept, or None. A name is never a path."""
    path = Path(settings.OUTBOX_DIR) / f"{name}.eml"
    inside = path.parent == Path(settings.OUTBOX_DIR) and name == Path(name).name
    return path if inside and path.is_file() else None


def read_head(name: str) -> KeptHead | None:
    """Return what a list shows of the mail of that name, its body unread; None where none is."""
    path = kept_path(name)
    if path is None:
        return None
    with path.open("rb") as file:
        head = file.read(LONGEST_HEAD).partition(b"\r\n\r\n")[0]
    mail = message_from_bytes(head + b"\r\n\r\n", policy=policy.default)
    return KeptHead(name, _moment(name), str(mail["To"] or ""), str(mail["Subject"] or ""))


def read_kept(name: str) -> KeptMail | None:
    """Return the mail of that name taken apart, or None where none is kept."""
    path = kept_path(name)
    if path is None:
        return None
    mail = message_from_bytes(path.read_bytes(), policy=policy.default)
    return KeptMail(
        name=name,
        at=_moment(name),
        to=str(mail["To"] or ""),
        subject=str(mail["Subject"] or ""),
        headers=[(key, str(value)) for key, value in mail.items()],
        text=_part(mail, "plain"),
        html=with_pictures(_part(mail, "html"), _inline(mail)),
        attached=[part.get_filename("unnamed") for part in _attachments(mail)],
    )


def with_pictures(html: str, pictures: Mapping[str, bytes]) -> str:
    """Return a mail's HTML with its own pictures put into it: a browser knows no "cid:"."""
    for name, png in pictures.items():
        data = b64encode(png).decode()
        html = html.replace(f'src="cid:{name}"', f'src="data:image/png;base64,{data}"')
    return html


def _attachments(mail: EmailMessage) -> Iterator[EmailMessage]:
    """What comes beside the words and the pictures that they show."""
    for part in mail.iter_attachments():
        if not part["Content-ID"]:
            yield part


def _inline(mail: EmailMessage) -> dict[str, bytes]:
    return {
        str(part["Content-ID"]).strip("<>"): part.get_content()
        for part in mail.walk()
        if part["Content-ID"] and part.get_content_type() == "image/png"
    }


def _part(message: EmailMessage, kind: str) -> str:
    part = message.get_body(preferencelist=(kind,))
    return str(part.get_content()) if part else ""


def _moment(name: str) -> datetime:
    try:
        return datetime.strptime(name.partition("-")[0], STAMP).replace(tzinfo=UTC)
    except ValueError:
        return datetime.fromtimestamp(0, UTC)
