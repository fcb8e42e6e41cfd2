"""What people call the plants whose growth is known, in English and in Spanish.

A kind is a key of the growth table. English names are those of USDA's PLANTS list, a place or a
people written large as in "Texas sage"; Spanish ones are as gardens of the dry south-west say them.
A name that a household gave a plant itself is left as it is.
"""

from __future__ import annotations

NAMES: dict[str, tuple[str, str]] = {
    "oleander": ("oleander", "adelfa"),
    "lantana": ("lantana", "lantana"),
    "bougainvillea": ("bougainvillea", "buganvilia"),
    "star jasmine": ("star jasmine", "jazmín estrella"),
    "texas sage": ("Texas sage", "cenizo"),
    "desertbroom": ("desert broom", "romerillo"),
    "mule-fat": ("mule fat", "batamote"),
    "big saltbush": ("big saltbush", "chamizo grande"),
    "fourwing saltbush": ("fourwing saltbush", "chamizo"),
    "cattle saltbush": ("cattle saltbush", "chamizo cenizo"),
    "jojoba": ("jojoba", "jojoba"),
    "apache plume": ("Apache plume", "pluma apache"),
    "creosote bush": ("creosote bush", "gobernadora"),
    "rosemary": ("rosemary", "romero"),
    "skunkbush sumac": ("skunkbush sumac", "lemita"),
    "sugar sumac": ("sugar sumac", "zumaque dulce"),
    "florida hopbush": ("Florida hopbush", "jarilla"),
    "yellow trumpetbush": ("yellow trumpetbush", "tronadora"),
    "desert willow": ("desert willow", "mimbre del desierto"),
    "honey mesquite": ("honey mesquite", "mezquite dulce"),
    "screwbean mesquite": ("screwbean mesquite", "tornillo"),
    "netleaf hackberry": ("netleaf hackberry", "palo blanco"),
    "japanese privet": ("Japanese privet", "trueno"),
    "sacred bamboo": ("sacred bamboo", "bambú sagrado"),
    "scarlet firethorn": ("scarlet firethorn", "piracanto"),
    "crapemyrtle": ("crape myrtle", "crespón"),
    "yaupon": ("yaupon", "yaupón"),
}
_KINDS = {
    name.casefold(): kind for kind, names in NAMES.items() for name in (*names, kind)
}  # A kind's own key last, so that it wins.


def kind_named(name: str) -> str:
    """Return the kind that goes by this name in either language, else the name folded."""
    folded = name.strip().casefold()
    return _KINDS.get(folded, folded)


def plant_said(name: str, language: str) -> str:
    """Return the name as that language has it: "texas sage" is "Texas sage", "cenizo"."""
    names = NAMES.get(kind_named(name))
    if names is None:
        return name
    return names[1] if language.startswith("es") else names[0]
