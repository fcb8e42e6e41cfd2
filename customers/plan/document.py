"""The plan of a home's outside as plain values, and its exact JSON.

A plan is a number of wall walks, each a closed round of legs, and the features that meet them.
Lengths are Decimal millimetres, angles Decimal degrees; JSON carries both as strings, so that
nothing is rounded on the way. Reading refuses what it cannot keep: a newer schema, a field it
does not know, a value of the wrong type. What is readable but wrong (a leg of no length, a kind
nobody knows) is kept, so that half a survey can be saved; customers.plan.problems names it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import MISSING, Field, dataclass, field, fields, is_dataclass
from decimal import Decimal, InvalidOperation
from functools import cached_property
from typing import Any, Self, TypeVar

SCHEMA = 1

WALK_KINDS = ("house", "garage", "courtyard", "outbuilding")
SURFACES = ("stucco", "block", "brick", "stone", "siding", "wood", "concrete")
STRIPS = ("", "glass", "aluminium")
STATES = ("sound", "damaged", "unknown")
UNITS = ("ft", "m")
GROWTH_CLASSES = ("", "slow", "medium", "fast")

NOTHING = Decimal(0)
FIRST_LEG_EAST = Decimal(90)  # Where north lies in the drawing of a plan whose north nobody took.
# Powers of ten that a measure keeps to, so that no arithmetic on it can run over.
LARGEST = 12
FINEST = -12

Json = dict[str, Any]
Reader = Callable[[object, str], Any]
T = TypeVar("T")


class UnreadablePlan(ValueError):
    """The JSON is no plan that this version can keep. The message names the place in it."""


def _text(value: object, at: str) -> str:
    if not isinstance(value, str):
        raise UnreadablePlan(f"{at}: expected text.")
    return value


def _flag(value: object, at: str) -> bool:
    if not isinstance(value, bool):
        raise UnreadablePlan(f"{at}: expected true or false.")
    return value


def _number(value: object, at: str) -> Decimal:
    if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
        raise UnreadablePlan(f"{at}: expected a number.")
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        raise UnreadablePlan(f"{at}: {value!r} is no number.") from None
    if not number.is_finite():
        raise UnreadablePlan(f"{at}: {value!r} is no finite number.")
    if number.adjusted() > LARGEST or int(number.as_tuple().exponent) < FINEST:
        raise UnreadablePlan(f"{at}: {value!r} is no measure of a home.")
    return number


def _maybe(read: Reader) -> Reader:
    return lambda value, at: None if value is None else read(value, at)


def _list_of(read: Reader) -> Reader:
    def read_list(value: object, at: str) -> tuple[Any, ...]:
        if not isinstance(value, list | tuple):
            raise UnreadablePlan(f"{at}: expected a list.")
        return tuple(read(item, f"{at}[{index}]") for index, item in enumerate(value))

    return read_list


def _map_of(read: Reader) -> Reader:
    def read_map(value: object, at: str) -> dict[str, Any]:
        return {key: read(item, f"{at}.{key}") for key, item in _mapping(value, at).items()}

    return read_map


def _mapping(value: object, at: str) -> Mapping[str, object]:
    if not isinstance(value, Mapping) or not all(isinstance(key, str) for key in value):
        raise UnreadablePlan(f"{at}: expected an object.")
    return value


def _one(cls: type[T]) -> Reader:
    """Return a reader of one dataclass, field by field, that refuses fields unknown to it."""

    def read(value: object, at: str) -> T:
        given = _mapping(value, at)
        known: list[Field[Any]] = list(fields(cls))  # type: ignore[arg-type]  # T is one
        if strange := sorted(set(given) - {each.name for each in known}):
            raise UnreadablePlan(f"{at}: does not know the field {strange[0]!r}.")
        for each in known:
            optional = each.default is not MISSING or each.default_factory is not MISSING
            if each.name not in given and not optional:
                raise UnreadablePlan(f"{at}: the field {each.name!r} is missing.")
        return cls(
            **{
                each.name: each.metadata["read"](given[each.name], f"{at}.{each.name}")
                for each in known
                if each.name in given
            }
        )

    return read


def _write(value: object) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        return {each.name: _write(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, Mapping):
        return {key: _write(item) for key, item in value.items()}
    if isinstance(value, tuple):
        return [_write(item) for item in value]
    return str(value) if isinstance(value, Decimal) else value


TEXT = {"read": _text}
FLAG = {"read": _flag}
NUMBER = {"read": _number}
MAYBE_NUMBER = {"read": _maybe(_number)}


@dataclass(frozen=True, kw_only=True)
class Leg:
    """One stretch of wall: walk its length, then turn (left +, right -)."""

    id: str = field(metadata=TEXT)
    length_mm: Decimal = field(metadata=NUMBER)
    turn_deg: Decimal = field(default=Decimal(90), metadata=NUMBER)
    # A curved stretch: length_mm is its chord, rise_mm its height over the chord (left +).
    rise_mm: Decimal = field(default=NOTHING, metadata=NUMBER)
    surface: str = field(default="stucco", metadata=TEXT)
    strip: str = field(default="", metadata=TEXT)
    strip_height_mm: Decimal | None = field(default=None, metadata=MAYBE_NUMBER)
    strip_state: str = field(default="unknown", metadata=TEXT)
    # The strip runs inside a garage that stays dry.
    inside_dry: bool = field(default=False, metadata=FLAG)


@dataclass(frozen=True, kw_only=True)
class Walk:
    id: str = field(metadata=TEXT)
    name: str = field(default="", metadata=TEXT)
    kind: str = field(default="house", metadata=TEXT)
    legs: tuple[Leg, ...] = field(default=(), metadata={"read": _list_of(_one(Leg))})


@dataclass(frozen=True, kw_only=True)
class Touch:
    """Something that a feature meets beside its own leg: another feature, or another leg."""

    id: str = field(metadata=TEXT)
    # None: not measured, and so treated as touching.
    clearance_mm: Decimal | None = field(default=NOTHING, metadata=MAYBE_NUMBER)


@dataclass(frozen=True, kw_only=True)
class Fitted:
    """A detail that stands in one contact of a feature."""

    detail: str = field(metadata=TEXT)
    state: str = field(default="unknown", metadata=TEXT)


@dataclass(frozen=True, kw_only=True)
class Feature:
    """Anything that meets the building, at a distance along one leg.

    at_mm is its middle, from the leg's start. out_mm is how far it stands off or extends from
    the wall. clearance_mm is its gap to its own leg: 0 touches, None was not measured. details
    maps a contact's key to what is fitted there: the keys of the kind's contacts
    (customers.plan.features), or the id of something touched.
    """

    id: str = field(metadata=TEXT)
    kind: str = field(metadata=TEXT)
    name: str = field(default="", metadata=TEXT)
    leg: str = field(metadata=TEXT)
    at_mm: Decimal = field(default=NOTHING, metadata=NUMBER)
    width_mm: Decimal = field(default=NOTHING, metadata=NUMBER)
    out_mm: Decimal = field(default=NOTHING, metadata=NUMBER)
    touches: tuple[Touch, ...] = field(default=(), metadata={"read": _list_of(_one(Touch))})
    clearance_mm: Decimal | None = field(default=NOTHING, metadata=MAYBE_NUMBER)
    details: Mapping[str, Fitted] = field(
        default_factory=dict, hash=False, metadata={"read": _map_of(_one(Fitted))}
    )
    # Details that the household will not have here: "cut back" on a hedge it will not lose.
    refused: tuple[str, ...] = field(default=(), metadata={"read": _list_of(_text)})
    # Doors: height of the sill over the paving. None was not measured.
    sill_mm: Decimal | None = field(default=None, metadata=MAYBE_NUMBER)
    # Plants: how fast they grow, and how much air this home wants between them and the wall.
    growth: str = field(default="", metadata=TEXT)
    needs_mm: Decimal | None = field(default=None, metadata=MAYBE_NUMBER)
    note: str = field(default="", metadata=TEXT)


@dataclass(frozen=True, kw_only=True)
class PlanDocument:
    """Everything known of a home's outside. north_deg: where north lies, from the first leg's
    heading, left positive; as the plan is drawn, unless somebody took it."""

    walks: tuple[Walk, ...] = field(default=(), metadata={"read": _list_of(_one(Walk))})
    features: tuple[Feature, ...] = field(default=(), metadata={"read": _list_of(_one(Feature))})
    north_deg: Decimal = field(default=FIRST_LEG_EAST, metadata=NUMBER)
    north_known: bool = field(default=False, metadata=FLAG)
    unit_hint: str = field(default="ft", metadata=TEXT)

    @classmethod
    def from_json(cls, given: object) -> Self:
        """Return the plan. Raises UnreadablePlan, whose text names the place."""
        plan = dict(_mapping(given, "plan"))
        schema = plan.pop("schema", None)
        if schema != SCHEMA or isinstance(schema, bool):
            raise UnreadablePlan(
                f"plan.schema: this version reads schema {SCHEMA}, not {schema!r}."
            )
        document: Self = _one(cls)(plan, "plan")
        return document

    def to_json(self) -> Json:
        return {"schema": SCHEMA, **_write(self)}

    @property
    def north(self) -> Decimal | None:
        """Return where north lies, None where nobody took it: older plans do not say who did."""
        return self.north_deg if self.north_known or self.north_deg != FIRST_LEG_EAST else None

    @property
    def legs(self) -> Iterator[tuple[Walk, Leg]]:
        return ((walk, leg) for walk in self.walks for leg in walk.legs)

    @cached_property
    def _by_id(self) -> tuple[dict[str, Leg], dict[str, Feature]]:
        legs = {leg.id: leg for _, leg in self.legs}
        return legs, {feature.id: feature for feature in self.features}

    def leg(self, leg_id: str) -> Leg | None:
        return self._by_id[0].get(leg_id)

    def feature(self, feature_id: str) -> Feature | None:
        return self._by_id[1].get(feature_id)


def from_json(given: object) -> PlanDocument:
    """Return the plan. Raises UnreadablePlan, whose text names the place."""
    return PlanDocument.from_json(given)


def in_words(an_id: str) -> str:
    """Return an id as it is spoken: "leg-3" is leg 3."""
    return an_id.replace("-", " ")
