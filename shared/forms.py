"""How forms are drawn everywhere (labels above, errors beside their field), and our own people."""

from datetime import date
from typing import Any

from django import forms
from django.contrib.auth.models import Group
from django.db import transaction
from django.forms.renderers import TemplatesSetting
from django.utils.translation import gettext_lazy as _

from shared.models import User
from shared.requests import is_ours


class FormRenderer(TemplatesSetting):
    form_template_name = "shared/form.html"
    field_template_name = "shared/field.html"


def roles() -> list[tuple[str, str]]:
    return [("office", "office"), ("tech", "tech"), ("owner", "owner")]


class PersonForm(forms.ModelForm):
    """Somebody of the firm: who they are, what they may do, whether they still work here."""

    roles = forms.MultipleChoiceField(
        choices=roles, widget=forms.CheckboxSelectMultiple, help_text="What they may do."
    )

    class Meta:
        model = User
        fields = ("username", "first_name", "last_name", "email", "language", "is_active")
        labels = {"username": "Sign-in name", "is_active": "Works here"}
        help_texts = {"username": "Letters, digits and @ . + - _ only.", "is_active": ""}

    def __init__(self, *args: Any, by: User, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.by = by
        self.fields["email"].required = True
        if self.instance.pk:
            self.initial["roles"] = list(self.instance.groups.values_list("name", flat=True))

    def clean_email(self) -> str:
        email: str = self.cleaned_data["email"]
        if User.objects.exclude(pk=self.instance.pk).filter(email__iexact=email).exists():
            raise forms.ValidationError("Somebody else has this address already.")
        return email

    def clean(self) -> dict[str, Any]:
        """Refuse that an owner locks themselves out: somebody must keep the keys."""
        data = super().clean() or {}
        stays = data.get("is_active") and "owner" in data.get("roles", ())
        if self.instance == self.by and not stays:
            raise forms.ValidationError("Another owner must take your role away, not you yourself.")
        return data

    @transaction.atomic
    def save(self, commit: bool = True) -> User:  # noqa: ARG002  # the roles need the row
        somebody = super().save(commit=False)
        if somebody.pk is None:
            somebody.set_unusable_password()
        somebody.save()
        somebody.groups.set(Group.objects.filter(name__in=self.cleaned_data["roles"]))
        return somebody


class DayInput(forms.DateInput):
    """A day as a browser's own field takes it, in every language: 2026-11-25."""

    input_type = "date"

    def __init__(self, attrs: dict[str, Any] | None = None) -> None:
        super().__init__(attrs=attrs, format="%Y-%m-%d")


class DayField(forms.DateField):
    """A day of ours: one beyond the calendar that we count with is a slip of the pen."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(widget=DayInput(), **kwargs)

    def validate(self, value: date | None) -> None:
        super().validate(value)
        if value and not is_ours(value):
            raise forms.ValidationError(_("No such day: look at the year."))
