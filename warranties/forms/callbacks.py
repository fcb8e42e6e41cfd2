"""What office and crew fill in on a callback."""

from django import forms
from django.utils.translation import gettext_lazy as _

from jobs.forms.fitting import PhotographsForm
from warranties.actions.callbacks import Findings
from warranties.models.callback import Callback, causes, decisions


class FindPromiseForm(forms.Form):
    find = forms.CharField(
        label=_("Promise or home"),
        help_text=_("A promise's number, a street, a name, a telephone number."),
        max_length=100,
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
    remedy = forms.CharField(
        label=_("What was done about it"),
        widget=forms.Textarea(attrs={"rows": 3}),
        max_length=4000,
        required=False,
    )
    field_order = ("findings", "place", "cause", "remedy", "taken", "chosen")

    @classmethod
    def of(cls, callback: Callback) -> "FindingsForm":
        """The form with what was found so far."""
        names = ("findings", "place", "cause", "remedy")
        return cls(initial={name: getattr(callback, name) for name in names})

    def found(self) -> Findings:
        given = self.cleaned_data
        return Findings(
            findings=given["findings"],
            place=given["place"],
            cause=given["cause"],
            remedy=given["remedy"],
        )


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
