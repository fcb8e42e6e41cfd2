"""What the crew fills in at a home, with one thumb."""

from collections.abc import Sequence
from datetime import date, tzinfo
from typing import Any

from django import forms
from django.core.files.uploadedfile import UploadedFile
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from customers.plan.drawing.words import in_language
from jobs.actions.costing import Material
from jobs.actions.fitting import Fitting
from jobs.asfitted import Place
from jobs.models import Crew, PriceBook
from jobs.models.fitting import detail_states
from jobs.models.prices import price_codes
from shared.forms import DayField
from shared.photos import CleanPhoto, read_photo

NO_MATERIAL = ("visit", "hour")


def materials() -> list[tuple[str, str]]:
    return [each for each in price_codes() if each[0] not in NO_MATERIAL]


class SeveralFiles(forms.ClearableFileInput):
    allow_multiple_selected = True


class PhotographsField(forms.FileField):
    """Any number of files; what is in them is looked at when they are kept."""

    widget = SeveralFiles

    def clean(self, data: Any, initial: Any = None) -> list[UploadedFile]:
        files = data if isinstance(data, list | tuple) else [data] if data else []
        return [super(PhotographsField, self).clean(each, initial) for each in files]


class PhotographsForm(forms.Form):
    """Two ways to the same: the camera at once, or what was taken before."""

    taken = PhotographsField(
        label=_("Take a photograph"),
        required=False,
        widget=SeveralFiles(attrs={"accept": "image/*", "capture": "environment"}),
    )
    chosen = PhotographsField(
        label=_("Or choose photographs"),
        required=False,
        widget=SeveralFiles(attrs={"accept": "image/*", "multiple": True}),
    )

    def photographs(self, zone: tzinfo) -> list[CleanPhoto]:
        """Read what was sent; `zone` is the home's. A second each. Raises NotAPhoto."""
        sent = [*self.cleaned_data["taken"], *self.cleaned_data["chosen"]]
        return [read_photo(each, zone=zone) for each in sent]


class MarkForm(PhotographsForm):
    """Where is a choice of the plan's places when there is a plan, else free words."""

    prefix = "mark"
    mark = forms.ChoiceField(label=_("Where"), required=False)
    place = forms.CharField(label=_("Where"), max_length=200, required=False)
    code = forms.ChoiceField(label=_("What"), choices=materials)
    state = forms.ChoiceField(label=_("State"), choices=detail_states, initial="sound")
    lot = forms.CharField(label=_("Sealant lot"), max_length=40, required=False)
    field_order = ("mark", "place", "code", "taken", "chosen", "lot", "state")

    def __init__(self, *args: Any, places: Sequence[Place] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if places:
            self.fields["mark"] = forms.ChoiceField(
                label=_("Where"),
                choices=[(each.mark, in_language(each.words, gettext)) for each in places],
            )
            self.fields["place"].label = _("More exactly, if needed")
        else:
            del self.fields["mark"]
        self.order_fields(self.field_order)

    def fitting(self) -> Fitting:
        given = self.cleaned_data
        return Fitting(
            code=given["code"],
            place=given["place"],
            mark=given.get("mark", ""),
            lot=given["lot"],
            state=given["state"],
        )


class CostForm(forms.Form):
    """`again` is asked only of a form that comes back."""

    on = DayField(label=_("Day"))
    again = forms.BooleanField(label=_("Yes, there was as much again"), required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not self.is_bound:
            del self.fields["again"]


class MaterialForm(CostForm):
    """Material off the price book at its cost, or anything else at a cost that is typed."""

    prefix = "material"
    item = forms.ChoiceField(label=_("What was used"), required=False)
    text = forms.CharField(label=_("Or in your words"), max_length=200, required=False)
    quantity = forms.DecimalField(label=_("How much"), max_digits=10, decimal_places=3)
    unit_cost = forms.DecimalField(
        label=_("Cost of one, if in your words"), max_digits=12, decimal_places=2, required=False
    )
    lot = forms.CharField(label=_("Lot"), max_length=40, required=False)
    field_order = ("item", "text", "quantity", "unit_cost", "lot", "on")

    def __init__(self, *args: Any, day: date, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"on": day}, **kwargs})
        book = PriceBook.objects.in_force(day)
        self.prices = {
            price.code: price
            for price in (book.prices.exclude(code__in=NO_MATERIAL) if book else ())
        }
        self.fields["item"] = forms.ChoiceField(
            label=_("What was used"),
            required=False,
            choices=[
                ("", _("something else")),
                *((code, f"{each.text} ({each.unit})") for code, each in self.prices.items()),
            ],
        )
        self.order_fields(self.field_order)

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or self.cleaned_data
        if not given.get("item"):
            if not given.get("text"):
                self.add_error("text", _("Choose what was used, or write it."))
            if given.get("unit_cost") is None:
                self.add_error("unit_cost", _("Write what one of it costs."))
        return given

    def material(self) -> Material:
        given = self.cleaned_data
        price = self.prices.get(given["item"])
        return Material(
            text=price.text if price else given["text"],
            quantity=given["quantity"],
            unit_cost=price.cost if price else given["unit_cost"],
            lot=given["lot"],
        )


class HoursForm(CostForm):
    prefix = "hours"
    hours = forms.DecimalField(
        label=_("Hours of the crew"), max_digits=5, decimal_places=2, min_value=0
    )
    crew = forms.ModelChoiceField(
        label=_("Crew"), queryset=Crew.objects.filter(active=True), empty_label=None
    )
    field_order = ("hours", "crew", "on")

    def __init__(self, *args: Any, day: date, crew: Crew | None, **kwargs: Any) -> None:
        super().__init__(*args, **{"initial": {"on": day, "crew": crew}, **kwargs})


class FinishForm(forms.Form):
    """Nothing but the answer, where the page asked about places at which nothing is marked."""

    prefix = "finish"
    sure = forms.BooleanField(required=False, widget=forms.HiddenInput)
    asks = False


class ProofForm(forms.Form):
    prefix = "proof"
    exceptions = forms.CharField(
        label=_("What the ring leaves out, if anything"),
        help_text=_("Stands on the certificate: for example a gap left at the gas meter."),
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
