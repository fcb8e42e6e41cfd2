"""One message given to the mail server, so that it is always known how far it came.

RFC 5321: until the client sends DATA the server has nothing; it has the message for certain once
it answered the end of the data with a 250, and not where it answered 4xx or 5xx. Where the line
breaks in between, nobody can tell.
"""

import smtplib
from collections.abc import Callable
from typing import cast

from django.conf import settings
from django.core.mail import EmailMultiAlternatives, get_connection
from django.core.mail.backends.smtp import EmailBackend

from warranties import bounces

PERMANENT = 500
TAKEN = (250, 251)


class NotTaken(Exception):
    """The server surely does not have it. `permanent`: trying again as it stands is no use.

    `no_such`: because there is no such address, or the number gets no texts.
    """

    def __init__(self, reason: str, *, permanent: bool, no_such: bool = False) -> None:
        super().__init__(reason)
        self.permanent = permanent
        self.no_such = no_such


class CannotTell(Exception):
    """The line broke while the server was being given the message."""


def post(message: EmailMultiAlternatives, *, before: Callable[[], None]) -> None:
    """Give a message for one address to the mail server.

    `before` is called at the last moment at which it is certain that nobody has it yet; what it
    raises goes through. Raises NotTaken, CannotTell.
    """
    backend = get_connection()
    if not isinstance(backend, EmailBackend):
        before()
        backend.send_messages([message])
        return
    try:
        backend.open()
    except (OSError, smtplib.SMTPException) as error:
        raise NotTaken(f"No mail server: {error}", permanent=False) from error
    # None where the settings let it fail silently, which ours do not.
    server = cast(smtplib.SMTP, backend.connection)
    try:
        _speak(server, message, before)
    finally:
        server.close()


def _speak(
    server: smtplib.SMTP, message: EmailMultiAlternatives, before: Callable[[], None]
) -> None:
    try:
        server.ehlo_or_helo_if_needed()
        _expect(server.mail(settings.BOUNCE_ADDRESS))
        for address in message.recipients():
            _expect(server.rcpt(address), of_address=True)
    except (OSError, smtplib.SMTPException) as error:
        raise NotTaken(f"The mail server went away: {error}", permanent=False) from error
    data = message.message().as_bytes(linesep="\r\n")  # type: ignore[call-arg]  # Django's own
    before()
    try:
        answer = server.data(data)
    except smtplib.SMTPDataError as error:  # it did not even want to begin
        _expect((error.smtp_code, error.smtp_error))
        return
    except (OSError, smtplib.SMTPException) as error:
        raise CannotTell(str(error)) from error
    _expect(answer)
    _part(server)


def _expect(answer: tuple[int, bytes | str], *, of_address: bool = False) -> None:
    code, words = answer
    if code in TAKEN:
        return
    said = words.decode(errors="replace") if isinstance(words, bytes) else words
    permanent = code >= PERMANENT
    no_such = of_address and permanent and bounces.says_no_such(said)
    raise NotTaken(f"The mail server said: {code} {said}", permanent=permanent, no_such=no_such)


def _part(server: smtplib.SMTP) -> None:
    """Say goodbye. The message is theirs already, whatever comes of this."""
    try:
        server.quit()
    except (OSError, smtplib.SMTPException):
        return
