"""A certificate is told from what was made of it by others."""

import json
import random
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from django.core.files.base import ContentFile
from pyhanko.pdf_utils.generic import pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
from pyhanko.pdf_utils.reader import PdfFileReader
from pytest_django import Settings

from tests.factories import NOON
from tests.warranties.certified import make_certificate, pdf_of
from warranties.actions import promising
from warranties.certificate import printed, standing_of, verify
from warranties.certificate.keys import make_pair, signing_pair
from warranties.certificate.paper import print_certificate
from warranties.certificate.seal import read_seal
from warranties.certificate.signing import signed
from warranties.models import Certificate

ONLY_THE_BOOKS = ("Its bytes are not those of the file that we issued.",)
# How many bytes of the signature's own parts are tried.
OF_ITS_OWN = {"byte range": 4, "signature": 6, "wrapping": 6, "padding": 2}
VALUE = 2 * 60  # Letters at the end of the signature that are surely its value (ECDSA, P-256).

pytestmark = [pytest.mark.django_db, pytest.mark.any_database]


def rewritten(pdf: bytes, change: Callable[[pikepdf.Pdf], None]) -> bytes:
    out = BytesIO()
    with pikepdf.open(BytesIO(pdf)) as opened:
        change(opened)
        opened.save(out)
    return out.getvalue()


def forged(record: dict[str, Any]) -> bytes:
    """The same pages under somebody else's key."""
    pair = make_pair("Dry Creek Barrier Co.")
    body = print_certificate(record)
    return signed(body, pair=pair, at=NOON, firm="Dry Creek", number=record["number"])


def test_the_issued_file_is_genuine_and_in_force() -> None:
    certificate = make_certificate()
    pdf = pdf_of(certificate)

    verdict = verify(pdf)

    assert (verdict.standing, verdict.number) == ("in-force", certificate.promise.number)
    assert read_seal(pdf).good


def parts_of(pdf: bytes) -> dict[str, range]:
    """Where each part lies: the head, every object, what stands between, the signature's own."""
    parts = {
        f"object {found[1].decode()} at {found.start()}": range(found.start(), found.end())
        for found in re.finditer(rb"(\d+) 0 obj.*?endobj", pdf, re.DOTALL)
    }
    objects = list(parts.values())
    ends = [0, *(each.stop for each in objects)]
    begins = [*(each.start for each in objects), len(pdf)]
    between = zip(ends, begins, strict=True)
    parts |= {f"before {stop}": range(start, stop) for start, stop in between if start < stop}
    opens = pdf.index(b"/Contents <") + len(b"/Contents <")
    letters = 8 + 2 * int(pdf[opens + 4 : opens + 8], 16)  # DER says its own length
    ranged = pdf.index(b"/ByteRange")
    parts["byte range"] = range(ranged, pdf.index(b"]", ranged) + 1)
    parts["wrapping"] = range(opens, opens + letters - VALUE)
    parts["signature"] = range(opens + letters - VALUE, opens + letters)
    parts["padding"] = range(opens + letters, pdf.index(b">", opens))
    (around,) = (name for name, part in parts.items() if opens - 1 in part)
    whole = parts.pop(around)
    parts[f"{around}, before"] = range(whole.start, opens)
    parts[f"{around}, behind"] = range(parts["padding"].stop, whole.stop)
    return parts


def flipped(pdf: bytes, place: int, bits: int = 0) -> bytes:
    return b"".join((pdf[:place], bytes([pdf[place] ^ (bits or 1 << place % 8)]), pdf[place + 1 :]))


def test_our_books_know_every_byte() -> None:
    pdf = pdf_of(make_certificate())
    kept = set(Certificate.objects.values_list("sha256", flat=True))

    begun, unseen = sha256(), []
    for place, byte in enumerate(pdf):
        tried = begun.copy()
        tried.update(bytes([byte ^ 1 << place % 8]) + pdf[place + 1 :])
        unseen += [place] if tried.hexdigest() in kept else []
        begun.update(pdf[place : place + 1])

    assert begun.hexdigest() in kept
    assert unseen == []


def test_a_flipped_byte_of_any_part_is_seen_by_the_seal_too() -> None:
    """As whoever has no books must rely on it: one byte of every object and of what lies between,
    some of the signature itself, through all that `verify` does. Padding means nothing; of what
    wraps the signature the version numbers and the list of digests are not signed (RFC 5652, 5.4),
    nor is the case of its letters."""
    pdf = pdf_of(make_certificate())
    chance = random.Random(7)  # noqa: S311  # which bytes are tried, not a secret

    by_books_alone = set()
    for name, part in parts_of(pdf).items():
        for place in chance.sample(part, k=OF_ITS_OWN.get(name, 1)):
            verdict = verify(flipped(pdf, place, 1 if name == "signature" else 0))
            assert verdict.standing == "altered", (name, place)
            if verdict.findings == ONLY_THE_BOOKS:
                by_books_alone.add(name)

    assert by_books_alone - {"wrapping"} == {"padding"}


def test_the_seal_covers_every_byte_but_its_own() -> None:
    pdf = pdf_of(make_certificate())
    own = parts_of(pdf)
    gap = range(own["wrapping"].start - 1, own["padding"].stop + 1)

    (signature,) = PdfFileReader(BytesIO(pdf)).embedded_signatures

    assert [int(each) for each in signature.byte_range] == [
        *(0, gap.start),
        *(gap.stop, len(pdf) - gap.stop),
    ]


def test_what_the_seal_cannot_tell_the_books_can() -> None:
    """What pads the signature, and the case of the letters in which it is written, mean nothing."""
    pdf = pdf_of(make_certificate())
    parts = parts_of(pdf)
    letter = next(i for i in parts["wrapping"] if pdf[i : i + 1].isalpha())

    for same in (flipped(pdf, letter, 0x20), flipped(pdf, parts["padding"][-1], 1)):
        assert read_seal(same).good
        assert verify(same).findings == ONLY_THE_BOOKS


@pytest.mark.parametrize("added", [b"\n% more\n", b"\0"])
def test_something_added_after_the_signature_is_named(added: bytes) -> None:
    verdict = verify(pdf_of(make_certificate()) + added)

    assert verdict.standing == "altered"
    assert "Something was added after it was signed." in verdict.findings


def test_a_file_that_was_cut_short_is_not_genuine() -> None:
    pdf = pdf_of(make_certificate())

    assert not any(verify(pdf[:-cut]).genuine for cut in (1, 100, 5000, len(pdf) - 9))


def test_an_incremental_update_is_named() -> None:
    out = BytesIO()
    writer = IncrementalPdfFileWriter(BytesIO(pdf_of(make_certificate())))
    writer.root["/Note"] = pdf_string("covers the roof as well")
    writer.update_root()  # type: ignore[no-untyped-call]
    writer.write(out)  # type: ignore[no-untyped-call]

    verdict = verify(out.getvalue())

    assert verdict.standing == "altered"
    assert verdict.findings == ("Something was added after it was signed.",)


def test_a_swapped_attachment_is_named_by_what_differs() -> None:
    certificate = make_certificate()
    record = {**certificate.record, "exceptions": [], "holder": "Somebody Else"}

    def swap(pdf: pikepdf.Pdf) -> None:
        pdf.attachments["certificate.json"] = json.dumps(record).encode()

    verdict = verify(rewritten(pdf_of(certificate), swap))

    assert verdict.standing == "altered"
    assert "Its record differs from ours in: exceptions, holder." in verdict.findings
    assert "Szerban" not in str(verdict)


def test_another_key_is_told_from_ours() -> None:
    certificate = make_certificate()

    verdict = verify(forged(certificate.record))

    assert verdict.standing == "altered"
    assert verdict.findings == ("It was signed with a key that is not ours.",)


def test_a_certificate_that_was_never_ours_is_unknown() -> None:
    certificate = make_certificate()
    record = {**certificate.record, "number": "RK-2026-00042-32"}

    assert verify(forged(record)).standing == "unknown"
    assert verify(b"hello").standing == "unknown"
    assert verify(b"").standing == "unknown"


def test_what_a_retired_key_signed_stays_ours(settings: Settings, tmp_path: Path) -> None:
    pdf = pdf_of(make_certificate())
    folder = Path(settings.KEYS_DIR)
    _key, old = signing_pair()
    settings.KEYS_DIR = tmp_path / "new"
    assert not read_seal(pdf).ours

    (tmp_path / "new" / "retired").mkdir(parents=True)
    (tmp_path / "new" / "retired" / "2026.pem").write_bytes(old.public_bytes(Encoding.PEM))

    assert folder != Path(settings.KEYS_DIR)
    assert read_seal(pdf).ours


def test_an_older_edition_is_genuine_but_replaced() -> None:
    old = make_certificate()
    promising.issue_certificate(promise=old.promise, at=NOON + timedelta(days=1))

    verdict = verify(pdf_of(old))

    assert verdict.standing == "replaced"
    assert verdict.findings == ("A newer edition was issued.",)


def test_signed_by_us_but_not_in_our_books() -> None:
    certificate = make_certificate()
    pdf = pdf_of(certificate)
    Certificate.objects.all().delete()

    verdict = verify(pdf)

    assert (verdict.standing, verdict.findings) == ("in-force", ("It carries our signature.",))


@pytest.mark.parametrize("typed", ["RK-2026-00042-32", "rk 2026 00042 32"])
def test_an_unknown_number(typed: str) -> None:
    assert standing_of(typed).standing == "unknown"


def test_a_mistyped_number_says_so() -> None:
    assert "wrong digit" in standing_of("RK-2026-00042-33").findings[0]


def test_the_same_record_and_key_make_the_same_bytes() -> None:
    certificate = make_certificate()

    assert printed(certificate.record).pdf == pdf_of(certificate)


def test_what_another_release_set_otherwise_stays_as_it_was_given_out() -> None:
    """The kept bytes are the certificate: they are served, and told by their own sha256."""
    certificate = make_certificate()
    older = printed({**certificate.record, "check_address": "https://older.example.com/"})
    certificate.file.save("older.pdf", ContentFile(older.pdf), save=False)
    Certificate.objects.filter(pk=certificate.pk).update(
        file=certificate.file.name, sha256=older.sha256
    )
    certificate.refresh_from_db()
    assert printed(certificate.record).pdf != older.pdf

    promising.print_out(certificate=certificate)

    assert pdf_of(certificate) == older.pdf
    assert verify(older.pdf).standing == "in-force"
    assert read_seal(older.pdf).good


def test_another_key_changes_the_signature_alone(settings: Settings, tmp_path: Path) -> None:
    record = make_certificate().record
    ours = printed(record).pdf

    settings.KEYS_DIR = tmp_path / "other"
    theirs = printed(record).pdf

    body = print_certificate(record)
    assert ours != theirs
    assert ours.startswith(body)
    assert theirs.startswith(body)


def test_the_key_is_for_its_owner_alone(settings: Settings) -> None:
    signing_pair()

    assert (Path(settings.KEYS_DIR) / "signing.pem").stat().st_mode & 0o777 == 0o600
    assert signing_pair()[1].not_valid_after_utc > datetime(2060, 1, 1, tzinfo=UTC)
