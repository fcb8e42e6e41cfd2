"""A certificate is told from what was made of it by others."""

import json
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from io import BytesIO
from pathlib import Path
from typing import Any

import pikepdf
import pytest
from cryptography.hazmat.primitives.serialization import Encoding
from pyhanko.pdf_utils.generic import pdf_string
from pyhanko.pdf_utils.incremental_writer import IncrementalPdfFileWriter
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


def places_to_flip(pdf: bytes) -> list[int]:
    """Bytes of every part: head, body, record, signature, its padding, what stands behind it."""
    contents = pdf.index(b"/Contents <")
    end = pdf.index(b">", contents)
    parts = [
        (0, 20),
        (20, contents),
        (contents, contents + 12),
        (contents + 12, contents + 2000),
        (end - 2000, end + 1),
        (end, len(pdf)),
        (len(pdf) - 40, len(pdf)),
    ]
    chance = random.Random(7)  # noqa: S311  # which bytes are tried, not a secret
    sampled = {chance.randrange(*part) for part in parts for _ in range(8)}
    evenly = set(range(0, len(pdf), max(1, len(pdf) // 90)))
    return sorted(sampled | evenly | {0, len(pdf) - 1})


def test_no_flipped_byte_goes_unseen() -> None:
    pdf = pdf_of(make_certificate())
    places = places_to_flip(pdf)

    unseen = []
    for place in places:
        changed = bytearray(pdf)
        changed[place] ^= 1 << (place % 8)
        if verify(bytes(changed)).standing != "altered":
            unseen.append(place)

    assert len(places) > 120
    assert unseen == []


def test_a_changed_byte_under_the_signature_breaks_it() -> None:
    """The signature alone tells, without our books: of the signed bytes and of its own."""
    pdf = pdf_of(make_certificate())
    gap = (pdf.index(b"/Contents <") + 11, pdf.index(b">", pdf.index(b"/Contents <")))
    signed_bytes = [each for each in places_to_flip(pdf) if not gap[0] <= each < gap[1]]

    good = []
    for place in signed_bytes[:: len(signed_bytes) // 25]:
        changed = bytearray(pdf)
        changed[place] ^= 1
        if read_seal(bytes(changed)).good:
            good.append(place)

    assert good == []


@pytest.mark.parametrize("cut", [1, 100, 5000])
def test_a_file_that_was_cut_short_is_not_genuine(cut: int) -> None:
    assert not verify(pdf_of(make_certificate())[:-cut]).genuine


def test_something_added_after_the_signature_is_named() -> None:
    pdf = pdf_of(make_certificate())

    verdict = verify(pdf + b"\n% more\n")

    assert verdict.standing == "altered"
    assert "Something was added after it was signed." in verdict.findings


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
