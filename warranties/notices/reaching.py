"""The channel that a household allows a notice now, whatever it allowed when it was planned."""

from collections.abc import Mapping, Sequence

from customers.models import Paperless
from warranties import reaching
from warranties.models import Notice
from warranties.notices.inwriting import IN_WRITING


def channels_of(notices: Sequence[Notice]) -> dict[int, str | None]:
    """Return by its key each notice's channel; all are of one household. Two queries at most."""
    answers = _answers(notices[0])
    return {each.pk: _channel(each, answers) for each in notices}


def channel_for(notice: Notice) -> str | None:
    return _channel(notice, _answers(notice))


def _answers(notice: Notice) -> dict[str, bool]:
    return dict(notice.household.consents.values_list("channel", "given"))


def _channel(notice: Notice, answers: Mapping[str, bool]) -> str | None:
    household = notice.household
    if notice.kind in IN_WRITING:
        files = Paperless.objects.standing().filter(household=household).exists()
        return reaching.written_channel(
            answers, mail=household.mail_works, files=files, tried=notice.tried
        )
    return reaching.first_channel(
        household.channel_order,
        answers,
        mail=household.mail_works,
        texts=household.gets_texts,
        phone=bool(household.phone),
        tried=notice.tried,
    )
