"""What office and crew fill in on a callback."""

from dataclasses import fields
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from customers.models import Home
from jobs.forms.fitting import PhotographsForm
from jobs.models import SEALED, FittedDetail
from warranties.actions.callbacks import Findings
from warranties.models.callback import Callback, causes, decisions


class FindPromiseForm(forms.Form):
    find = forms.CharField(
        label=_("Promise or home"),
        help_text=_("A promise's number, a street, a name, a telephone number."),
        max_length=100,
        required=False,
    )


def price_field() -> forms.DecimalField:
    return forms.DecimalField(
        label=_("Price agreed for this visit"),
        help_text=_("Only where you told them and they said yes. Empty: the visit is free."),
        min_value=0,
        max_digits=10,
        decimal_places=2,
        required=False,
    )


class PriceForm(forms.Form):
    """The price of a visit, agreed after the report and before the visit."""

    prefix = "price"
    price_agreed = price_field()


def asked_field(label: Any, help_text: Any) -> forms.TypedChoiceField:
    """Yes, no, or nobody has asked yet: None."""
    return forms.TypedChoiceField(
        label=label,
        help_text=help_text,
        choices=[("", _("not known yet")), ("yes", _("yes")), ("no", _("no"))],
        coerce=lambda said: said == "yes",
        empty_value=None,
        required=False,
    )


class ReportForm(forms.Form):
    report = forms.CharField(
        label=_("What the household says"),
        help_text=_("In their words: what, where, when."),
        widget=forms.Textarea(attrs={"rows": 4}),
        max_length=4000,
    )
    stung = forms.BooleanField(label=_("Somebody was stung"), required=False)
    price_agreed = price_field()


class FindingsForm(PhotographsForm):
    prefix = "found"
    findings = forms.CharField(
        label=_("What you found"), widget=forms.Textarea(attrs={"rows": 3}), max_length=4000
    )
    place = forms.CharField(
        label=_("Where"), help_text=_("Leg, pipe, door, plant."), max_length=100, required=False
    )
    cause = forms.ChoiceField(
        label=_("Cause"), choices=lambda: [("", _("not known yet")), *causes()], required=False
    )
    called_before = asked_field(
        _("Did they call us before the work?"), _("For a new line or a change to the building.")
    )
    damaged_by_others = asked_field(
        _("Did others, or force, do the damage?"), _("For a joint, a strip or a collar.")
    )
    shown_how = forms.CharField(
        label=_("What shows that?"),
        help_text=_("Tracks, a date, a bill, what somebody said. Photograph it."),
        widget=forms.Textarea(attrs={"rows": 2}),
        max_length=2000,
        required=False,
    )
    remedy = forms.CharField(
        label=_("What was done about it"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=4000,
        required=False,
    )
    field_order = (
        "findings",
        "place",
        "cause",
        "detail",
        "called_before",
        "damaged_by_others",
        "shown_how",
        "remedy",
        "taken",
        "chosen",
    )

    def __init__(self, *args: Any, home: Home, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        sealed = FittedDetail.objects.filter(SEALED, job__home=home).select_related("job")
        if by_pk := {str(each.pk): each for each in sealed.order_by("pk")}:
            self.fields["detail"] = forms.TypedChoiceField(
                label=_("Which seal opened?"),
                help_text=_("It then counts for this one's lot, wall and side alone."),
                choices=[("", _("not known, or no seal")), *by_pk.items()],
                coerce=by_pk.get,
                empty_value=None,
                required=False,
            )
            self.order_fields(self.field_order)

    @classmethod
    def of(cls, callback: Callback) -> "FindingsForm":
        """The form with what was found so far."""
        names = ("findings", "place", "cause", "shown_how", "remedy")
        initial = {name: getattr(callback, name) for name in names}
        initial["detail"] = callback.detail_id
        for name in ("called_before", "damaged_by_others"):
            initial[name] = {True: "yes", False: "no"}.get(getattr(callback, name), "")
        return cls(initial=initial, home=callback.promise.home)

    def found(self) -> Findings:
        given = self.cleaned_data
        names = (each.name for each in fields(Findings))
        return Findings(**{name: given[name] for name in names if name in given})


def decisions_in_words() -> list[tuple[str, str]]:
    words = {
        "covered": _("covered: we pay"),
        "courtesy": _("courtesy: we pay, though the terms would not make us"),
        "chargeable": _("chargeable: the household pays"),
    }
    return [(code, str(words[code])) for code, _name in decisions()]


class DecisionForm(forms.Form):
    prefix = "decision"
    decision = forms.ChoiceField(
        label=_("Decision"), choices=decisions_in_words, widget=forms.RadioSelect
    )
    reason = forms.CharField(
        label=_("Reason"),
        help_text=_("The household reads it."),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=4000,
        error_messages={
            "required": _("A decision needs its reason: the household will ask for it.")
        },
    )

    @classmethod
    def of(cls, callback: Callback) -> "DecisionForm":
        return cls(initial={"decision": callback.decision, "reason": callback.reason})
