"""Why a home's seals are checked sooner, as a person says it.

Groups are those of warranties/openings.py. Sentences are translated where they are read.
"""

from collections.abc import Mapping

from shared.wording import Translate, gettext_noop

BY_AGE = gettext_noop("Seals by their age")
OFTEN = gettext_noop(
    "Seals every {months} months: {seals} open {ratio} times as often as ours in general."
)
MONTHLY = gettext_noop("Seals every month: {seals} open {ratio} times as often as ours in general.")
# Of each kind of group, what its seals are called; {name} is the group's own.
OF_KIND: Mapping[str, str] = {
    "lot": gettext_noop("seals of lot {name}"),
    "crew": gettext_noop("seals made by {name}"),
    "surface": gettext_noop("seals on {name}"),
}
OF_GROUP: Mapping[tuple[str, str], str] = {
    ("exposure", "north"): gettext_noop("seals that face north"),
    ("exposure", "east"): gettext_noop("seals that face east"),
    ("exposure", "south"): gettext_noop("seals that face south"),
    ("exposure", "west"): gettext_noop("seals that face west"),
    ("exposure", "indoors"): gettext_noop("seals in dry garages"),
    ("age", "0-1"): gettext_noop("seals in their first year"),
    ("age", "1-3"): gettext_noop("seals one to three years old"),
    ("age", "3-6"): gettext_noop("seals three to six years old"),
    ("age", "6+"): gettext_noop("seals over six years old"),
}


def seals_of(kind: str, name: str, translate: Translate = str) -> str:
    """Return what the seals of a group are called."""
    if (kind, name) in OF_GROUP:
        return translate(OF_GROUP[kind, name])
    shown = translate(name) if kind == "surface" else name
    return translate(OF_KIND.get(kind, "{name}")).format(name=shown)


def sooner(*, kind: str, name: str, months: int, ratio: float, translate: Translate = str) -> str:
    """Return why the checks come every so many months, as one sentence."""
    seals = seals_of(kind, name, translate)
    said = translate(MONTHLY if months == 1 else OFTEN)
    return said.format(months=months, seals=seals, ratio=f"{ratio:.1f}")
