"""Every kind of feature: the contacts it makes, what can bar each, and what to mind.

This table is the one place where a kind is added: give it a line in KINDS, and the plan, the ring
check, the proposals and the editor know it. Where no source is named, a rule is common practice
of the trade.

A contact's sides are "ground", "building" (the wall that the feature stands at) and "self".
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from customers.plan.document import Feature, Leg
from shared.wording import gettext_noop

COMMON_PRACTICE = "common practice"
MM_PER_METRE = 1000

# A sill lower than this leaves no room for a strip and the air over it.
LOW_SILL_MM = Decimal("76.2")
DEFAULT_STRIP_HEIGHT_MM = {"block": Decimal("304.8")}
LOWEST_OVER_SOIL_MM = Decimal("152.4")


@dataclass(frozen=True)
class Rule:
    text: str
    source: str = COMMON_PRACTICE


@dataclass(frozen=True)
class Detail:
    """What closes a contact. per says what its price is for: "each" or "metre"."""

    code: str
    per: str
    says: str
    rule: Rule | None = None
    grows_back: bool = False


@dataclass(frozen=True)
class Bar:
    """A detail that can bar a contact, and how much of it that takes.

    along names the length it runs, for details by the metre: "width", "round" (the width and
    both sides that stand off the wall) or "girth" (all four sides). also is what goes with it.
    """

    detail: str
    along: str = ""
    times: int = 1
    also: tuple["Bar", ...] = ()
    only_dry: bool = False
    only_sill: str = ""


@dataclass(frozen=True)
class Meeting:
    """A contact that a kind makes. reason says why nothing can bar it, where nothing can."""

    key: str
    a: str
    b: str
    bars: tuple[Bar, ...] = ()
    reason: str = ""


@dataclass(frozen=True)
class Kind:
    """A kind of feature. touching bars what it meets beside its own leg.

    A kind that is no surface of its own (a door) opens the building itself.
    """

    code: str
    meets: tuple[Meeting, ...]
    touching: tuple[Bar, ...] = ()
    is_surface: bool = True
    is_plant: bool = False
    cautions: tuple[Rule, ...] = ()

    def meeting(self, key: str) -> Meeting | None:
        return next((each for each in self.meets if each.key == key), None)


ALUMINIUM_OUTDOORS = Rule(
    gettext_noop(
        "Raw aluminium is for indoors and dry garages only: against damp concrete or block it "
        "corrodes, and bright metal on a street front is often not allowed by the community."
    ),
    "Aluminum Design Manual 2010, M.7.3, on damp masonry; the rest common practice",
)
FLAT_FACE = Rule(
    gettext_noop(
        "Glass needs a flat, sound face; where the stone is rough or a conduit is in its way, "
        "a collar of PTFE on aluminium goes round instead."
    )
)
LOW_STRIP = Rule(
    gettext_noop(
        "The strip sits clear above soil, mulch and irrigation: about a foot (305 mm) up on block. "
        "Is there soil below this one?"
    )
)
GAS = Rule(
    gettext_noop(
        "Nothing is fixed to a gas meter, regulator or vent, and a vent is never covered; "
        "ask the gas utility before a collar goes on its riser."
    ),
    "49 CFR 192.353(a) and 192.355(b)",
)
ELECTRICITY = Rule(
    gettext_noop(
        "Nothing is fixed to an electrical service: ask the utility, or a licensed electrician."
    ),
    "working space: NEC 110.26; the rest common practice",
)
ESCAPE = Rule(
    gettext_noop(
        "A door is a way of escape: the threshold stays within the local code, and the door opens "
        "freely. Where it must be step-free, ask who answers for access."
    ),
    "IRC R311.3.1; 2010 ADA Standards 404.2.5 where they apply",
)
TRACK = Rule(gettext_noop("The weep holes of a sliding door's track stay open."))
LADDER = Rule(gettext_noop("Work at height: a second person holds the ladder, away from wires."))
HEDGE_LAW = Rule(gettext_noop("A neighbour's plant is cut only with the neighbour's word."))

DETAILS: Mapping[str, Detail] = {
    detail.code: detail
    for detail in (
        Detail("strip", "metre", gettext_noop("a glass strip bonded along the wall"), FLAT_FACE),
        Detail(
            "aluminium strip",
            "metre",
            gettext_noop("a polished aluminium strip, indoors"),
            ALUMINIUM_OUTDOORS,
        ),
        Detail("collar", "each", gettext_noop("a slick ring of PTFE")),
        Detail("backed collar", "each", gettext_noop("a slick ring of PTFE on aluminium")),
        Detail("column-head band", "each", gettext_noop("a band round the head of a column")),
        Detail(
            "over-wall return",
            "each",
            gettext_noop("the strip up, over the top and down the far face"),
        ),
        Detail(
            "sill riser", "metre", gettext_noop("a metal threshold that lifts the doorway"), ESCAPE
        ),
        Detail("fence split", "each", gettext_noop("a return at one side of a fence or gate")),
        Detail("cut back", "each", gettext_noop("the plant cut until it clears"), grows_back=True),
        Detail("cap", "each", gettext_noop("an unused line cut off and capped")),
    )
}

STRIP_AT_WIDTH = Bar("strip", along="width")
STRIP_ROUND = Bar("strip", along="round")
RETURN = Bar("over-wall return")
SPLIT = Bar("fence split", times=2)
CUT_BACK = Bar("cut back")
COLLAR = Bar("collar")
BACKED_COLLAR = Bar("backed collar")
RISER = Bar("sill riser", along="width", also=(STRIP_AT_WIDTH,), only_sill="low")
STRIP_UNDER_SILL = Bar("strip", along="width", only_sill="high")
STRIP_IN_GARAGE = Bar("aluminium strip", along="round", only_dry=True)


def _foot(*bars: Bar, reason: str = "") -> Meeting:
    return Meeting("foot", "ground", "self", bars, reason)


def _house(*bars: Bar, reason: str = "") -> Meeting:
    return Meeting("house", "self", "building", bars, reason)


def _doorway(*bars: Bar) -> tuple[Meeting, ...]:
    return (Meeting("sill", "ground", "building", bars),)


def _plant(code: str, root: str, *cautions: Rule) -> Kind:
    meets = (_foot(reason=root), _house(CUT_BACK))
    return Kind(code, meets, (CUT_BACK,), is_plant=True, cautions=(HEDGE_LAW, *cautions))


ROOTED = gettext_noop("It is rooted in the ground.")
CLIMBED = gettext_noop("It stands on the ground and is climbed anywhere.")
SOIL = gettext_noop("Soil and paving lie against it.")

KINDS: Mapping[str, Kind] = {
    kind.code: kind
    for kind in (
        Kind(
            "column",
            (_foot(Bar("strip", along="girth")), _house(Bar("column-head band"))),
            cautions=(LADDER,),
        ),
        Kind("pipe", (_foot(COLLAR), _house(COLLAR)), (COLLAR,)),
        Kind(
            "wire",
            (
                _foot(reason=gettext_noop("It reaches the ground at its pole, out of our hands.")),
                _house(COLLAR),
            ),
            (COLLAR,),
            cautions=(ELECTRICITY, LADDER),
        ),
        Kind(
            "conduit",
            (_foot(BACKED_COLLAR), _house(BACKED_COLLAR)),
            (BACKED_COLLAR,),
            cautions=(ELECTRICITY,),
        ),
        # The collar goes round the pipe below the meter or behind it, as round any pipe.
        Kind("meter riser", (_foot(COLLAR), _house(COLLAR)), cautions=(GAS,)),
        Kind(
            "unused line",
            (_foot(reason=gettext_noop("It comes out of the ground.")), _house(COLLAR, Bar("cap"))),
            (COLLAR, Bar("cap")),
            cautions=(Rule(gettext_noop("Make sure that the line is dead before it is cut.")),),
        ),
        Kind("door", _doorway(STRIP_UNDER_SILL, RISER), is_surface=False, cautions=(ESCAPE,)),
        Kind(
            "sliding door",
            _doorway(STRIP_UNDER_SILL, RISER),
            is_surface=False,
            cautions=(ESCAPE, TRACK),
        ),
        # out_mm is how far in the strip runs along the garage's walls at either side.
        Kind("garage door", _doorway(STRIP_IN_GARAGE, RISER), is_surface=False),
        Kind("gate", (_foot(reason=CLIMBED), _house(SPLIT)), (SPLIT,)),
        Kind("fence", (_foot(reason=CLIMBED), _house(SPLIT)), (SPLIT,)),
        Kind("garden wall", (_foot(STRIP_ROUND), _house(RETURN)), (RETURN,)),
        Kind("planter", (_foot(reason=SOIL), _house(STRIP_AT_WIDTH))),
        Kind("step", (_foot(reason=SOIL), _house(STRIP_AT_WIDTH))),
        Kind(
            "chimney",
            (_foot(STRIP_ROUND), _house(reason=gettext_noop("It is built into the house."))),
        ),
        Kind("outdoor kitchen", (_foot(STRIP_ROUND), _house(RETURN)), (RETURN,), cautions=(GAS,)),
        _plant("plant on the ground", ROOTED),
        _plant("plant on a wall", ROOTED),
        _plant("overhanging branch", gettext_noop("Its tree stands in the ground."), LADDER),
    )
}


def touching(one: Kind, other: Kind | None) -> tuple[Bar, ...]:
    """Return what bars a contact beside the feature's own leg; other is None for a leg.

    A plant is cut back from whatever it touches; the rest takes the details of both.
    """
    for kind in (one, other):
        if kind and kind.is_plant:
            return kind.touching
    bars = (*one.touching, *(other.touching if other else ()))
    return tuple(dict.fromkeys(bars))


def metres(along: str, feature: Feature) -> Decimal:
    """Return the length that a detail by the metre runs at the feature; no less than nothing."""
    lengths = {
        "width": feature.width_mm,
        "round": feature.width_mm + 2 * feature.out_mm,
        "girth": 4 * feature.width_mm,
    }
    return max(Decimal(0), lengths[along]) / MM_PER_METRE


def fits(bar: Bar, feature: Feature, leg: Leg | None) -> bool:
    """Return whether the place allows the bar: its sill, and whether it stays dry."""
    if bar.only_dry and not (leg and leg.inside_dry):
        return False
    # A sill that nobody measured counts as low: the riser is what it may take.
    low = feature.sill_mm is None or feature.sill_mm < LOW_SILL_MM
    return bar.only_sill in ("", "low" if low else "high")


def strip_height(leg: Leg) -> Decimal | None:
    """Return the height of a leg's strip in mm: measured, or the default of its surface."""
    if leg.strip_height_mm is not None:
        return leg.strip_height_mm
    return DEFAULT_STRIP_HEIGHT_MM.get(leg.surface)


def leg_bars(leg: Leg) -> tuple[str, ...]:
    """Return the strips that a leg can take."""
    return ("strip", "aluminium strip") if leg.inside_dry else ("strip",)


def strip_detail(leg: Leg) -> str | None:
    """Return the detail that a leg's strip is."""
    return {"": None, "aluminium": "aluminium strip"}.get(leg.strip, "strip")
