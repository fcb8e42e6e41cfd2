"""A feature as a tech enters it: where it stands, what it touches, what each contact holds."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from customers.forms.measures import TapeField
from customers.forms.plans import Choices, PlanForm, kinds, plant_kinds, words
from customers.plan.contacts import surface_names
from customers.plan.document import STATES, Feature, Fitted, PlanDocument, Touch, in_words
from customers.plan.drawing.words import in_language
from customers.plan.features import DETAILS, KINDS, Bar, Kind, touching


class FeatureForm(PlanForm):
    """The parts that every feature has; those of plants and doors are left empty by the rest."""

    at_fields = {
        "at_mm": "at",
        "width_mm": "width",
        "out_mm": "out",
        "clearance_mm": "clearance",
        "sill_mm": "sill",
        "needs_mm": "needs",
        "touches": "touch",
    }
    kind = forms.CharField(label=_("What"), widget=forms.Select)
    name = forms.CharField(
        label=_("Name"),
        max_length=60,
        required=False,
        help_text=_("As the household calls it."),
    )
    leg = forms.CharField(label=_("At leg"), widget=forms.Select)
    at = TapeField(label=_("How far along, to its middle"), lone=True)
    width = TapeField(label=_("Width"), required=False)
    out = TapeField(label=_("Reach from the wall"), required=False)
    clearance = TapeField(
        label=_("Gap to the wall"),
        required=False,
        initial=Decimal(0),
        help_text=_("0 where it touches. Empty: not measured."),
    )
    sill = TapeField(
        label=_("Doors: height of the sill"),
        required=False,
        help_text=_("Over the paving. Empty: not measured."),
    )
    plant_kind = forms.ChoiceField(label=_("Plants: kind"), choices=plant_kinds, required=False)
    needs = TapeField(label=_("Plants: gap to keep"), required=False)
    photo = forms.FileField(
        label=_("Plants: photograph"),
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    cut = forms.BooleanField(label=_("Plants: it was just cut back to this gap"), required=False)
    confirmed = forms.BooleanField(label=_("I looked again: it is so"), required=False)
    touch = forms.CharField(label=_("Touches also"), widget=forms.Select, required=False)
    touch_gap = TapeField(label=_("Gap to that"), required=False)
    note = forms.CharField(label=_("Note"), max_length=500, required=False)

    def __init__(self, *args: Any, feature: Feature | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.feature = feature
        self._choices("kind", kinds())
        self._choices("leg", [(leg.id, _leg(leg.id)) for _walk, leg in self.document.legs])
        self._choices("touch", [("", _("nothing else")), *self._surfaces()])
        if feature:
            self._add_contacts(feature)

    def _choices(self, name: str, choices: Choices) -> None:
        """Offer these; what else is sent is refused with the plan's own words, at the field."""
        widget = self.fields[name].widget
        assert isinstance(widget, forms.Select)  # noqa: S101  # as declared above
        widget.choices = choices

    def _surfaces(self) -> Choices:
        own = self.feature.id if self.feature else ""
        names = surface_names(self.document)
        features = ((each.id, names[each.id]) for each in self.document.features if each.id != own)
        return [*features, *((leg.id, _leg(leg.id)) for _walk, leg in self.document.legs)]

    def _add_contacts(self, feature: Feature) -> None:
        """Give each touch its gap, each contact a choice of details, and what is refused."""
        barred = list(_barred(self.document, feature))
        self._add_gaps(feature)
        for key, bars in barred:
            self._add_detail(key, bars, feature.details.get(key))
        refusable = dict.fromkeys(bar.detail for _, bars in barred for bar in bars)
        if refusable:
            self.fields["refused"] = forms.MultipleChoiceField(
                label=_("The household will not have"),
                choices=words([*dict.fromkeys([*refusable, *feature.refused])]),
                widget=forms.CheckboxSelectMultiple,
                required=False,
            )

    def _add_gaps(self, feature: Feature) -> None:
        for touch in feature.touches:
            gap = TapeField(label=_named(self.document, touch.id, _("Gap to")), required=False)
            gap.system = self.fields["at"].system  # type: ignore[attr-defined]  # a TapeField
            self.fields[f"gap/{touch.id}"] = gap
            drop = forms.BooleanField(label=_("No longer touches it"), required=False)
            self.fields[f"drop/{touch.id}"] = drop

    def _add_detail(self, key: str, bars: Sequence[Bar], fitted: Fitted | None) -> None:
        """Offer what can bar the contact and stays, and what is fitted there whatever it is."""
        details = [bar.detail for bar in bars if not DETAILS[bar.detail].grows_back]
        if fitted and fitted.detail not in details:
            details.append(fitted.detail)
        if details:
            where = _named(self.document, key, _("Fitted at"))
            self.fields[f"detail/{key}"] = forms.ChoiceField(
                label=where, choices=words(["", *details]), required=False
            )
            self.fields[f"state/{key}"] = forms.ChoiceField(
                label=_("Its state"), choices=words(STATES), required=False
            )

    @property
    def contacts(self) -> list[forms.BoundField]:
        """Return the fields of single contacts, and of what the household will not have."""
        return [self[name] for name in self.fields if "/" in name or name == "refused"]

    @property
    def contact_errors(self) -> bool:
        return any(field.errors for field in self.contacts)

    def feature_of(self, an_id: str) -> Feature:
        given = self.cleaned_data
        known = self.feature
        return Feature(
            id=an_id,
            kind=given["kind"],
            name=given["name"],
            leg=given["leg"],
            at_mm=given["at"],
            width_mm=given["width"] or Decimal(0),
            out_mm=given["out"] or Decimal(0),
            touches=self._touches(),
            clearance_mm=given["clearance"],
            details=self._details(),
            refused=tuple(given.get("refused", known.refused if known else ())),
            sill_mm=given["sill"],
            growth=known.growth if known else "",
            needs_mm=given["needs"],
            note=given["note"],
        )

    def _touches(self) -> tuple[Touch, ...]:
        given = self.cleaned_data
        kept = [
            Touch(id=touch.id, clearance_mm=given[f"gap/{touch.id}"])
            for touch in (self.feature.touches if self.feature else ())
            if not given[f"drop/{touch.id}"]
        ]
        if given["touch"]:
            kept.append(Touch(id=given["touch"], clearance_mm=given["touch_gap"]))
        return tuple(kept)

    def _details(self) -> dict[str, Fitted]:
        given = self.cleaned_data
        known = self.feature
        asked = {name.partition("/")[2] for name in self.fields if name.startswith("detail/")}
        kept = {
            key: each for key, each in (known.details if known else {}).items() if key not in asked
        }
        for key in sorted(asked):
            if detail := given[f"detail/{key}"]:
                kept[key] = Fitted(detail=detail, state=given[f"state/{key}"] or "unknown")
        return {key: each for key, each in kept.items() if not given.get(f"drop/{key}")}

    @staticmethod
    def known(feature: Feature, plant_kind: str = "") -> dict[str, Any]:
        """Return what the form shows of a feature."""
        return {
            "kind": feature.kind,
            "name": feature.name,
            "leg": feature.leg,
            "at": feature.at_mm,
            "width": feature.width_mm or None,
            "out": feature.out_mm or None,
            "clearance": feature.clearance_mm,
            "sill": feature.sill_mm,
            "plant_kind": plant_kind,
            "needs": feature.needs_mm,
            "note": feature.note,
            "refused": list(feature.refused),
            **{f"gap/{touch.id}": touch.clearance_mm for touch in feature.touches},
            **{f"detail/{key}": each.detail for key, each in feature.details.items()},
            **{f"state/{key}": each.state for key, each in feature.details.items()},
        }


def _leg(an_id: str) -> str:
    return in_language(in_words(an_id), gettext)


def _barred(document: PlanDocument, feature: Feature) -> Iterator[tuple[str, tuple[Bar, ...]]]:
    """Yield the keys of the feature's contacts, each with what can bar it."""
    kind: Kind | None = KINDS.get(feature.kind)
    if kind is None:
        return
    for meeting in kind.meets:
        yield meeting.key, meeting.bars
    for touch in feature.touches:
        other = document.feature(touch.id)
        yield touch.id, touching(kind, KINDS.get(other.kind) if other else None)


def _named(document: PlanDocument, key: str, words_before: Any) -> str:
    """Return a contact's name: "Fitted at the foot", "Gap to gate wall"."""
    where = surface_names(document).get(key) or _(in_words(key))
    return f"{words_before} {where}"
