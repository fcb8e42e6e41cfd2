"""The panels of the plan editor: each a form and the edit that it stands for.

A panel is named in its address: new-leg, new-feature, new-walk, settings, or the id of what it
changes.
"""

from dataclasses import dataclass, replace
from typing import Any, ClassVar

from django.http import QueryDict
from django.utils.datastructures import MultiValueDict
from django.utils.translation import gettext as _

from customers.actions.planning import Edit, Standing
from customers.actions.planting import taken_marks
from customers.forms.features import FeatureForm
from customers.forms.plans import LegForm, NewLegForm, PlanForm, SettingsForm, WalkForm
from customers.models import Home, Plant
from customers.plan import editing
from customers.plan.document import Feature, Leg, PlanDocument, Walk, in_words
from shared.photos import read_photo

FIRST_WALK = Walk(id="walk-1", kind="house")


@dataclass
class Panel:
    """What is open: its form, and what keeping or removing does. `wish` is what a link asks for."""

    home: Home
    stood: Standing
    name: str
    wish: QueryDict
    template = "customers/_panel_plain.html"
    form_class: ClassVar[type[PlanForm]] = PlanForm
    removable = False
    # Where to go once it is kept: the panel itself unless it says else.
    next_name = "new-leg"

    @property
    def document(self) -> PlanDocument:
        return self.stood.document

    @property
    def title(self) -> str:
        raise NotImplementedError

    def more(self) -> dict[str, Any]:
        """What the form is made with beside the document."""
        return {}

    def known(self) -> dict[str, Any]:
        return {}

    def form(
        self, data: QueryDict | None = None, files: MultiValueDict[str, Any] | None = None
    ) -> PlanForm:
        initial = {**self.known(), "base": self.stood.base}
        return self.form_class(data, files, initial=initial, document=self.document, **self.more())

    def kept(self, form: Any) -> Edit:
        raise NotImplementedError

    def removed(self) -> Edit:
        raise NotImplementedError


class NewLeg(Panel):
    template = "customers/_panel_new_leg.html"
    form_class = NewLegForm

    @property
    def title(self) -> str:
        return _("Add a leg")

    @property
    def walk(self) -> Walk | None:
        """The walk asked for, else the last one."""
        walks = self.document.walks
        asked = self.wish.get("walk", "")
        return next((each for each in walks if each.id == asked), walks[-1] if walks else None)

    @property
    def turns_right(self) -> bool:
        """Whether this walk goes to the right, which the Enter key then does as well."""
        return bool(self.walk and sum(leg.turn_deg for leg in self.walk.legs) < 0)

    def known(self) -> dict[str, Any]:
        walk = self.walk
        last = walk.legs[-1] if walk and walk.legs else None
        before = self.wish.get("before", "")
        return {
            **NewLegForm.next_to(last),
            "walk": walk.id if walk else "",
            "before": before if self.document.leg(before) else "",
        }

    def kept(self, form: NewLegForm) -> Edit:
        given = form.cleaned_data

        def change(document: PlanDocument) -> PlanDocument:
            walk = given["walk"] or FIRST_WALK.id
            if not document.walks:
                document, walk = editing.add_walk(document, FIRST_WALK), FIRST_WALK.id
            return editing.add_leg(document, walk, form.leg(an_id), before=given["before"])

        an_id = editing.next_id(self.document, "leg")
        return Edit(change=change, said=_("{leg} added").format(leg=in_words(an_id)), mark=an_id)


class OldLeg(Panel):
    template = "customers/_panel_leg.html"
    form_class = LegForm
    removable = True

    @property
    def leg(self) -> Leg:
        leg = self.document.leg(self.name)
        assert leg is not None, "made only for a leg that is there"  # noqa: S101
        return leg

    @property
    def title(self) -> str:
        return in_words(self.name).capitalize()

    def known(self) -> dict[str, Any]:
        return LegForm.known(self.leg)

    def kept(self, form: LegForm) -> Edit:
        leg = form.leg(self.name)
        return Edit(
            change=lambda document: editing.change_leg(document, leg),
            said=_("{leg} changed").format(leg=in_words(self.name)),
            mark=self.name,
        )

    def removed(self) -> Edit:
        return Edit(
            change=lambda document: editing.remove_leg(document, self.name),
            said=_("{leg} removed").format(leg=in_words(self.name)),
        )


class NewFeature(Panel):
    template = "customers/_panel_feature.html"
    form_class = FeatureForm
    next_name = "new-feature"

    @property
    def title(self) -> str:
        return _("Add what stands there")

    def known(self) -> dict[str, Any]:
        legs = [leg.id for _walk, leg in self.document.legs]
        asked = self.wish.get("leg", "")
        return {"leg": asked if asked in legs else legs[-1] if legs else ""}

    def kept(self, form: FeatureForm) -> Edit:
        prefix = editing.feature_prefix(form.cleaned_data["kind"])
        an_id = editing.next_id(self.document, prefix, taken_marks(self.home))
        feature = form.feature_of(an_id)
        return replace(
            _edit_of(form, feature, self.home),
            change=lambda document: editing.add_feature(document, feature),
            said=_("{name} added").format(name=_named(feature)),
        )


class OldFeature(Panel):
    template = "customers/_panel_feature.html"
    form_class = FeatureForm
    removable = True
    next_name = "new-feature"

    @property
    def feature(self) -> Feature:
        feature = self.document.feature(self.name)
        assert feature is not None, "made only for a feature that is there"  # noqa: S101
        return feature

    @property
    def title(self) -> str:
        return _named(self.feature)

    def more(self) -> dict[str, Any]:
        return {"feature": self.feature}

    def known(self) -> dict[str, Any]:
        plant = Plant.objects.filter(home=self.home, mark=self.name).first()
        return FeatureForm.known(self.feature, plant.kind if plant else "")

    def kept(self, form: FeatureForm) -> Edit:
        feature = form.feature_of(self.name)
        return replace(
            _edit_of(form, feature, self.home),
            change=lambda document: editing.change_feature(document, feature),
            said=_("{name} changed").format(name=_named(feature)),
        )

    def removed(self) -> Edit:
        return Edit(
            change=lambda document: editing.remove_feature(document, self.name),
            said=_("{name} removed").format(name=_named(self.feature)),
        )


class NewWalk(Panel):
    form_class = WalkForm

    @property
    def title(self) -> str:
        return _("Start another walk")

    def kept(self, form: WalkForm) -> Edit:
        given = form.cleaned_data
        an_id = editing.next_id(self.document, "walk")
        walk = Walk(id=an_id, name=given["name"], kind=given["kind"])
        return Edit(
            change=lambda document: editing.add_walk(document, walk),
            said=_("{name} begun").format(name=walk.name or in_words(an_id)),
        )


class OldWalk(Panel):
    form_class = WalkForm
    removable = True

    @property
    def title(self) -> str:
        return in_words(self.name).capitalize()

    def known(self) -> dict[str, Any]:
        walk = next(each for each in self.document.walks if each.id == self.name)
        return {"name": walk.name, "kind": walk.kind}

    def kept(self, form: WalkForm) -> Edit:
        given = form.cleaned_data
        return Edit(
            change=lambda document: editing.change_walk(
                document, self.name, name=given["name"], kind=given["kind"]
            ),
            said=_("{walk} changed").format(walk=in_words(self.name)),
        )

    def removed(self) -> Edit:
        return Edit(
            change=lambda document: editing.remove_walk(document, self.name),
            said=_("{walk} removed").format(walk=in_words(self.name)),
        )


class Settings(Panel):
    form_class = SettingsForm

    @property
    def title(self) -> str:
        return _("North and units")

    def known(self) -> dict[str, Any]:
        north = self.document.north
        shown = "" if north is None else f"{north.normalize():f}"
        return {"north_deg": shown, "unit_hint": self.document.unit_hint}

    def kept(self, form: SettingsForm) -> Edit:
        given = form.cleaned_data
        return Edit(
            change=lambda document: replace(
                editing.turn(document, given["north_deg"]), unit_hint=given["unit_hint"]
            ),
            said=_("North and units set"),
        )


NEW = {
    "new-leg": NewLeg,
    "new-feature": NewFeature,
    "new-walk": NewWalk,
    "settings": Settings,
}


def panel_of(home: Home, stood: Standing, name: str, wish: QueryDict) -> Panel | None:
    """Return the panel of that name; None where the plan has no such leg, feature or walk."""
    document = stood.document
    if name in NEW:
        return NEW[name](home, stood, name, wish)
    if document.leg(name):
        return OldLeg(home, stood, name, wish)
    if document.feature(name):
        return OldFeature(home, stood, name, wish)
    if any(walk.id == name for walk in document.walks):
        return OldWalk(home, stood, name, wish)
    return None


def _edit_of(form: FeatureForm, feature: Feature, home: Home) -> Edit:
    """Raises NotAPhoto."""
    given = form.cleaned_data
    kind = given["plant_kind"]
    return Edit(
        change=lambda document: document,
        said="",
        mark=feature.id,
        plant_kinds={feature.id: kind} if kind else {},
        photo=read_photo(given["photo"], zone=home.tz) if given["photo"] else None,
        cut=given["cut"],
        confirmed=given["confirmed"],
    )


def _named(feature: Feature) -> str:
    return feature.name.strip() or in_words(feature.id)
