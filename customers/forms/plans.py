"""What a tech enters on the way round a building: walks, legs, features. One thumb."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import Any, cast

from django import forms
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from customers import outlooks
from customers.drawn import system_of
from customers.forms.measures import AngleField, TapeField
from customers.plan.document import STATES, STRIPS, SURFACES, UNITS, WALK_KINDS, Leg, PlanDocument
from customers.plan.features import KINDS
from customers.plan.problems import Problem
from customers.plantnames import plant_said

SQUARE = Decimal(90)
Choices = list[tuple[str, Any]]


def words(values: Sequence[str]) -> Callable[[], Choices]:
    """Choices that are their own words, in the reader's language."""
    return lambda: [(each, _(each) if each else _("none")) for each in values]


def turns() -> Choices:
    return [("left", _("left")), ("right", _("right")), ("straight", _("straight on"))]


def turn_deg(turn: str, angle: Decimal | None) -> Decimal:
    """Return the turn at a leg's end, left positive; square where no angle is given."""
    by = SQUARE if angle is None else angle
    return {"left": by, "right": -by}.get(turn, Decimal(0))


class PlanForm(forms.Form):
    """The base: `base` is the revision that the form was made from, and lengths know their unit.

    `at_fields` says which field of ours stands for which of the plan's.
    """

    at_fields: Mapping[str, str] = {}
    base = forms.CharField(widget=forms.HiddenInput, max_length=40)

    def __init__(self, *args: Any, document: PlanDocument, **kwargs: Any) -> None:
        kwargs.setdefault("auto_id", "plan_%s")
        super().__init__(*args, **kwargs)
        self.document = document
        self.asks = False  # whether a person is asked to look again
        for field in self.fields.values():
            if isinstance(field, TapeField):
                field.system = system_of(document)

    def add_problems(self, problems: Sequence[Problem]) -> None:
        """Show each problem at the field that it is about."""
        for each in problems:
            name = self.at_fields.get(each.field, each.field)
            self.add_error(
                name if name in self.fields else None, each.said(system_of(self.document))
            )

    def rebased(self, base: str) -> None:
        """Make what was typed an edit of the plan as it is now."""
        self.data = MultiValueDict({**dict(cast(QueryDict, self.data).lists()), "base": [base]})


class StepForm(PlanForm):
    """Nothing but the revision: undo, remove, close."""


class WalkForm(PlanForm):
    name = forms.CharField(label=_("Name"), max_length=60, required=False)
    kind = forms.ChoiceField(label=_("Round what"), choices=words(WALK_KINDS))


class SettingsForm(PlanForm):
    north_deg = forms.DecimalField(
        label=_("Where north lies, in degrees left of the first leg"),
        help_text=_("Empty: nobody took it yet, and no wall counts as facing south or west."),
        max_digits=6,
        decimal_places=2,
        min_value=-360,
        max_value=360,
        required=False,
    )
    unit_hint = forms.ChoiceField(label=_("Lengths in"), choices=words(UNITS))


class LegForm(PlanForm):
    """A leg and the turn at its end. When one is added, the turn is the button pressed."""

    at_fields = {
        "length_mm": "length",
        "turn_deg": "angle",
        "rise_mm": "rise",
        "strip_height_mm": "strip_height",
    }
    length = TapeField(label=_("Length"), lone=True)
    turn = forms.ChoiceField(label=_("Then turn"), choices=turns)
    angle = AngleField(label=_("Angle, where it is not square"))
    surface = forms.ChoiceField(label=_("Surface"), choices=words(SURFACES))
    strip = forms.ChoiceField(label=_("Strip"), choices=words(STRIPS), required=False)
    strip_state = forms.ChoiceField(label=_("State of the strip"), choices=words(STATES))
    strip_height = TapeField(label=_("Height of the strip"), required=False)
    inside_dry = forms.BooleanField(label=_("Inside a dry garage"), required=False)
    rise = TapeField(
        label=_("Rise, where the wall is curved"),
        help_text=_("How far it bows out from its chord; with a minus where it bows in."),
        required=False,
        signed=True,
    )

    def leg(self, an_id: str) -> Leg:
        given = self.cleaned_data
        return Leg(
            id=an_id,
            length_mm=given["length"],
            turn_deg=turn_deg(given["turn"], given["angle"]),
            rise_mm=given["rise"] or Decimal(0),
            surface=given["surface"],
            strip=given["strip"],
            strip_height_mm=given["strip_height"],
            strip_state=given["strip_state"],
            inside_dry=given["inside_dry"],
        )

    @staticmethod
    def known(leg: Leg) -> dict[str, Any]:
        """Return what the form shows of a leg."""
        turn = "left" if leg.turn_deg > 0 else "right" if leg.turn_deg else "straight"
        angle = abs(leg.turn_deg)
        return {
            "length": leg.length_mm,
            "turn": turn,
            "angle": None if angle in (0, SQUARE) else f"{angle.normalize():f}",
            "rise": leg.rise_mm or None,
            "surface": leg.surface,
            "strip": leg.strip,
            "strip_height": leg.strip_height_mm,
            "strip_state": leg.strip_state,
            "inside_dry": leg.inside_dry,
        }

    @classmethod
    def next_to(cls, leg: Leg | None) -> dict[str, Any]:
        """Return what the next leg begins with: as the last one, but for its length."""
        if leg is None:
            return {"strip_state": "sound"}
        like_it = cls.known(replace(leg, turn_deg=SQUARE, rise_mm=Decimal(0)))
        return {**like_it, "length": None, "turn": None}


class NewLegForm(LegForm):
    """Where the leg goes: at the end of a walk, or before another of its legs."""

    walk = forms.CharField(label=_("Walk"), widget=forms.HiddenInput, required=False)
    before = forms.CharField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        # One leg follows the other, with or without JavaScript.
        self.fields["length"].widget.attrs["autofocus"] = True


def kinds() -> Choices:
    return [("", _("choose")), *((code, _(code)) for code in KINDS)]


def plant_kinds() -> Choices:
    language = get_language() or "en"
    named = [(each, plant_said(each, language)) for each in outlooks.plant_kinds()]
    return [("", _("not in the list")), *sorted(named, key=lambda pair: pair[1].casefold())]
