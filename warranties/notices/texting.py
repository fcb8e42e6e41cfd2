"""One text given to the gateway, so that it is always known how far it came.

The gateway's protocol. We POST one message as JSON, `{"id", "to", "text", "segments"}`, to
TEXT_GATEWAY_URL with `Authorization: Bearer TEXT_GATEWAY_TOKEN`. `id` is ours and the same at every
attempt; a gateway that knows it sends nothing and answers 409. A 2xx or 409 says that it has the
message for certain. 429, 503 and 4xx say that it surely has not: the first two that it may be tried
again; 422 says of the number that it gets no texts at all. After any other answer, or none, nobody
can tell. Without TEXT_GATEWAY_URL texts are kept as lines of JSON in var/texts, one file a day, and
nothing is sent.
"""

import http.client
import json
import os
from collections.abc import Callable
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import NamedTuple
from urllib.parse import urlsplit

from django.conf import settings

from warranties.notices.posting import CannotTell, NotTaken

TIMEOUT = 20
LATER = (429, 503)
KNOWN = 409
NO_TEXTS = 422  # the number
LOOPBACK = ("127.0.0.1", "localhost", "::1")


class Text(NamedTuple):
    id: str
    to: str
    text: str
    segments: int


class KeptText(NamedTuple):
    """A text that would have gone out, had a gateway been named."""

    at: datetime
    to: str
    text: str
    segments: int


def post_text(text: Text, *, before: Callable[[], None]) -> None:
    """Give a text to the gateway; `before` as in posting.post. Raises NotTaken, CannotTell."""
    if settings.TEXT_GATEWAY_URL:
        _post(text, before)
    else:
        before()
        _keep(text)


def _keep(text: Text) -> None:
    folder = Path(settings.TEXTS_DIR)
    folder.mkdir(parents=True, exist_ok=True)
    at = datetime.now(UTC)
    line = json.dumps({**text._asdict(), "at": at.isoformat()}, ensure_ascii=False) + "\n"
    path = folder / f"{at:%Y-%m-%d}.jsonl"
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    with closing(os.fdopen(handle, "wb", buffering=0)) as file:
        file.write(line.encode())  # one write: lines of two workers do not mix


def kept_texts(at_most: int) -> list[KeptText]:
    """Return the newest kept texts, newest first."""
    newest: list[KeptText] = []
    for path in sorted(Path(settings.TEXTS_DIR).glob("*.jsonl"), reverse=True):
        lines = path.read_text("utf-8").splitlines()
        newest += [_kept(line) for line in reversed(lines[-at_most:])]
        if len(newest) >= at_most:
            break
    return newest[:at_most]


def _kept(line: str) -> KeptText:
    kept = json.loads(line)
    at = datetime.fromisoformat(kept["at"])
    return KeptText(at, kept["to"], kept["text"], kept["segments"])


def _post(text: Text, before: Callable[[], None]) -> None:
    parts = urlsplit(settings.TEXT_GATEWAY_URL)
    with closing(_line(parts.scheme, parts.hostname or "", parts.port)) as line:
        try:
            line.connect()
        except OSError as error:
            raise NotTaken(f"No text gateway: {error}", permanent=False) from error
        before()
        path = parts._replace(scheme="", netloc="", fragment="").geturl() or "/"
        try:
            line.request("POST", path, json.dumps(text._asdict()).encode(), _headers())
            with closing(line.getresponse()) as answer:
                status, reason = answer.status, answer.reason
        except (OSError, http.client.HTTPException) as error:
            raise CannotTell(str(error) or type(error).__name__) from error
        _judge(status, reason)


def _line(scheme: str, host: str, port: int | None) -> http.client.HTTPConnection:
    if scheme == "https":
        return http.client.HTTPSConnection(host, port, timeout=TIMEOUT)
    if scheme != "http" or host not in LOOPBACK:
        raise NotTaken("TEXT_GATEWAY_URL must begin with https://.", permanent=True)
    return http.client.HTTPConnection(host, port, timeout=TIMEOUT)


def _headers() -> dict[str, str]:
    return {
        "Authorization": f"Bearer {settings.TEXT_GATEWAY_TOKEN}",
        "Content-Type": "application/json",
    }


def _judge(status: int, reason: str) -> None:
    if http.client.OK <= status < http.client.MULTIPLE_CHOICES or status == KNOWN:
        return
    said = f"The text gateway said: {status} {reason}"
    if status in LATER:
        raise NotTaken(said, permanent=False)
    if http.client.BAD_REQUEST <= status < http.client.INTERNAL_SERVER_ERROR:
        raise NotTaken(said, permanent=True, no_such=status == NO_TEXTS)
    raise CannotTell(said)
