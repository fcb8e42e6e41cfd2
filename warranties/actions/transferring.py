"""The home is sold: the promise goes along when both sides have said yes, every owner of them."""

from datetime import date, datetime, timedelta
from typing import Literal, NamedTuple

from django.db import transaction
from django.utils.formats import date_format

from customers.actions import NotChangeable, Said, change_owner, record_consents
from customers.models import Home, Household, HouseholdLink, Ownership
from shared.refusals import Refused
from warranties.actions import noticing, planning, standing
from warranties.actions.promising import issue_certificate
from warranties.models import Promise, Transfer, TransferVoice

LINK_DAYS = timedelta(days=60)
Side = Literal["old", "new"]


class NotTransferable(Refused):
    """The promise cannot go to them. The message is fit to show a person."""


class Move(NamedTuple):
    """To whom the home goes, from which day, and who told us.

    `confirmed_by`: the old owner who told us on its own signed link, which is its yes.
    """

    household: Household
    on: date
    told_by: str = "office"
    confirmed_by: Household | None = None


@transaction.atomic
def start_transfer(*, promise: Promise, move: Move, at: datetime) -> Transfer:
    """Ask the owners on both sides to confirm, each on a link of its own. Raises NotTransferable.

    Where an old owner told us on its own page, that was its yes.
    """
    held = Promise.objects.select_for_update().get(pk=promise.pk)
    if held.state == "ended":
        raise NotTransferable(f"{held.number} has ended.")
    if held.basis == "ownership":
        raise NotTransferable(
            f"{held.number} lasts as long as {held.holder} own the home: it ends with the sale."
        )
    if held.holder_id == move.household.pk:
        raise NotTransferable(f"{held.holder} hold {held.number} already.")
    if held.transfers.open().exists():
        raise NotTransferable(f"{held.number} is on its way to another household already.")
    if move.on < held.starts_on:
        raise NotTransferable(
            f"{held.number} began on {date_format(held.starts_on)}, after that day."
        )
    transfer = Transfer.objects.create(
        promise=held,
        old=held.holder,
        new=move.household,
        started_by=move.told_by,
        started_at=at,
        moved_on=move.on,
    )
    _ask_all(transfer, at)
    if move.confirmed_by:
        _say_yes(transfer.voice_of(move.confirmed_by), at)
    noticing.plan_transfer_notices(transfer=transfer, at=at)
    return transfer


@transaction.atomic
def start_with_new_household(*, promise: Promise, move: Move, said: Said, at: datetime) -> Transfer:
    """Start a transfer to a household that we did not know until now. Raises NotTransferable."""
    move.household.save()
    record_consents(household=move.household, said=said, at=at)
    return start_transfer(promise=promise, move=move, at=at)


@transaction.atomic
def agree(*, transfer: Transfer, household: Household, at: datetime) -> Transfer:
    """Note that one owner says yes; with the last of them, the promise goes over.

    Raises NotTransferable where the transfer was dropped or is done.
    """
    held = Transfer.objects.select_for_update().select_related("promise").get(pk=transfer.pk)
    if held.done_at or held.dropped_at:
        raise NotTransferable("This transfer is closed: nothing more is needed.")
    _say_yes(held.voice_of(household), at)
    held.refresh_from_db()
    if held.old_agreed_at and held.new_agreed_at:
        _hand_over(held, at)
    transfer.refresh_from_db()
    return transfer


@transaction.atomic
def drop_transfer(*, transfer: Transfer, at: datetime) -> None:
    """Call the transfer off: nothing moves, both links open nothing any more."""
    held = Transfer.objects.select_for_update().get(pk=transfer.pk)
    if held.done_at:
        raise NotTransferable("This transfer is done.")
    held.call_off(at)
    transfer.refresh_from_db()


@transaction.atomic
def follow_owner(*, home: Home, household: Household, on: date, at: datetime) -> None:
    """The home changed hands: start what that means for each of its promises.

    A promise on the home's life waits for both households; one on the old household's ownership
    ends, as its terms say.
    """
    for promise in Promise.objects.standing().filter(home=home).exclude(holder=household):
        if promise.basis == "ownership":
            reason = f"{promise.holder} no longer own the home."
            day = max(on, promise.starts_on)
            standing.end(promise=promise, on=day, reason=reason, by=None, at=at)
        elif not promise.transfers.open().exists():
            move = Move(household, max(on, promise.starts_on))
            start_transfer(promise=promise, move=move, at=at)


@transaction.atomic
def join_transfers(*, home: Home, household: Household, at: datetime) -> None:
    """Another owner was entered: the open transfers of the home want their yes as well."""
    owners = home.ownerships.filter(until=None).values_list("household", flat=True)
    for transfer in Transfer.objects.open().filter(promise__home=home).select_for_update():
        if transfer.voices.filter(household=household).exists():
            continue
        side: Side = "old" if transfer.old_id in owners else "new"
        _ask(transfer, household, side, at)
        _count_yeses(transfer, side, at)
        noticing.plan_transfer_notices(transfer=transfer, at=at)


def _hand_over(transfer: Transfer, at: datetime) -> None:
    promise, home = transfer.promise, transfer.promise.home
    transfer.done_at = at
    transfer.save()
    promise.holder = transfer.new
    promise.save()
    promise.changes.create(at=at, kind="transferred", reason="Both households confirmed.")
    if home.household() != transfer.new:
        _change_owner(transfer, at)
    if plan := planning.running_plan(home, at.astimezone(home.tz).date()):
        plan.holder = transfer.new
        plan.save()
    transfer.revoke_links(at)
    issue_certificate(promise=promise, at=at, reason="New holder.")


def _change_owner(transfer: Transfer, at: datetime) -> None:
    """Raises NotTransferable where the home changed hands after that day; it names nobody."""
    try:
        change_owner(
            home=transfer.promise.home,
            household=transfer.new,
            said=Said({}, "not asked"),
            on=transfer.moved_on,
            at=at,
        )
    except NotChangeable as error:
        raise NotTransferable("The home changed hands after that day. Please call us.") from error


def _owners_beside(home: Home, household: Household) -> list[Household]:
    """A household and all who owned the home together with it to the same day, or do now."""
    last = home.ownerships.filter(household=household).order_by("-since", "-pk").first()
    if last is None:
        return [household]
    beside = Ownership.objects.filter(home=home, until=last.until).exclude(household=household)
    return [household, *(each.household for each in beside.select_related("household"))]


def _ask_all(transfer: Transfer, at: datetime) -> None:
    """Ask every owner on both sides; who buys the others out is asked as the new one alone."""
    home = transfer.promise.home
    new = _owners_beside(home, transfer.new)
    for household in _owners_beside(home, transfer.old):
        if household not in new:
            _ask(transfer, household, "old", at)
    for household in new:
        _ask(transfer, household, "new", at)


def _ask(transfer: Transfer, household: Household, side: Side, at: datetime) -> None:
    link = HouseholdLink.objects.create(
        household=household,
        purpose="transfer",
        about=transfer.promise.number,
        expires_at=at + LINK_DAYS,
    )
    transfer.voices.create(household=household, side=side, link=link)


def _say_yes(voice: TransferVoice, at: datetime) -> None:
    """Note the yes; the first time counts."""
    TransferVoice.objects.filter(pk=voice.pk, agreed_at=None).update(agreed_at=at)
    _count_yeses(voice.transfer, voice.side, at)


def _count_yeses(transfer: Transfer, side: str, at: datetime) -> None:
    """A side has agreed while none of its owners still waits."""
    waits = transfer.voices.filter(side=side, agreed_at=None).exists()
    before = getattr(transfer, f"{side}_agreed_at")
    setattr(transfer, f"{side}_agreed_at", None if waits else before or at)
    transfer.save()
