from django.core.mail import EmailMessage
from django.test import Client

from shared.models import User

NEW = {
    "username": "mara",
    "first_name": "Mara",
    "last_name": "Quill",
    "email": "mara@example.com",
    "language": "es",
    "is_active": "on",
    "roles": ["tech"],
}


def test_the_owner_adds_somebody_who_gets_a_mail(
    owner: Client, mailoutbox: list[EmailMessage]
) -> None:
    answer = owner.post("/people/new/", NEW)

    mara = User.objects.get(username="mara")
    assert answer.status_code == 302
    assert [group.name for group in mara.groups.all()] == ["tech"]
    assert not mara.has_usable_password()
    assert mailoutbox[0].to == ["mara@example.com"]


def test_refuses_an_address_that_somebody_has(owner: Client) -> None:
    answer = owner.post("/people/new/", {**NEW, "email": "OWNER@example.com"})

    assert answer.status_code == 422
    assert "Somebody else has this address" in answer.content.decode()


def test_an_owner_cannot_lock_themselves_out(owner: Client) -> None:
    answer = owner.post(
        "/people/owner/",
        {**NEW, "username": "owner", "email": "owner@example.com", "roles": ["tech"]},
    )

    assert answer.status_code == 422
    assert "Another owner must take your role away" in answer.content.decode()


def test_changes_roles_and_ends_work(owner: Client) -> None:
    owner.post("/people/new/", NEW)

    owner.post("/people/mara/", {**NEW, "roles": ["office"], "is_active": ""})

    mara = User.objects.get(username="mara")
    assert not mara.is_active
    assert [group.name for group in mara.groups.all()] == ["office"]
    assert "mara@example.com" in owner.get("/people/").content.decode()
