"""The published shape agrees with what a certificate carries."""

import json
from io import BytesIO
from typing import Any

import pikepdf
import pytest
from django.test import Client
from django.urls import reverse

from tests.schemas import faults
from tests.warranties.certified import make_certificate, pdf_of
from warranties.certificate.schema import json_schema

pytestmark = pytest.mark.django_db


def carried(**fields: str) -> dict[str, Any]:
    with pikepdf.open(BytesIO(pdf_of(make_certificate(**fields)))) as opened:
        content = opened.attachments["certificate.json"].get_file().read_bytes()
    record: dict[str, Any] = json.loads(content)
    return record


@pytest.mark.parametrize("language", ["en", "es"])
def test_what_a_certificate_carries_has_the_published_shape(client: Client, language: str) -> None:
    published = client.get(reverse("certificate-schema")).json()

    assert published == json_schema()
    assert faults(carried(language=language), published, published) == []


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("schema", "ringkeep-certificate/2"),
        ("number", "RK-1"),
        ("edition", "1"),
        ("basis", "for ever"),
        ("starts_on", "2 March 2026"),
        ("plan", {"schema": 1, "walls": []}),
        ("fitted", [{"code": "collar"}]),
    ],
)
def test_what_differs_is_found(name: str, value: object) -> None:
    schema = json_schema()
    record = carried()
    assert faults({**record, name: value}, schema, schema)[0].startswith(f".{name}")

    without = {key: held for key, held in record.items() if key != name}
    assert faults(without, schema, schema) == [f".{name}"]
    assert faults({**record, "more": 1}, schema, schema) == [".more"]
