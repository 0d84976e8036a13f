"""Words for what the run file and a sweep call by a key: names, tissues, contacts, keys of the case."""

import re

CONTACT = {
    "perfect": "touching all over",
    "conductance": "touching all over, with a resistance of the contact",
    "spots": "touching in spots",
    "gap": "held off the tissue",
}
LONG_SHAPE = {  # what a shape of the electrode is about a plane
    "disc": "strip",
    "ring": "two strips",
    "dome": "lying cylinder",
    "rod": "plate inserted edgewise",
}
BEFORE = ("perfused", "wet")  # what English puts before the noun: "liver_perfused" is a perfused liver
AFTER = ("ex", "excised")  # what follows it after a comma: "liver_ex_vivo" is liver, ex vivo

# Units as the keys of the case carry them at their end, longest first where one ends like another.
UNITS = {
    "W_m2K": "W/(m\u00b2 K)",
    "W_mK": "W/(m K)",
    "J_kgK": "J/(kg K)",
    "J_m3K": "J/(m\u00b3 K)",
    "kg_m3": "kg/m\u00b3",
    "A_m2": "A/m\u00b2",
    "S_m2": "S/m\u00b2",
    "nF_cm2": "nF/cm\u00b2",
    "m2_s": "m\u00b2/s",
    "MV_m": "MV/m",
    "W_m3": "W/m\u00b3",
    "S_m": "S/m",
    "J_kg": "J/kg",
    "J_K": "J/K",
    "J_mol": "J/mol",
    "per_C": "per \u00b0C",
    "1_s": "1/s",
    "ohm": "ohm",
    "pF": "pF",
    "uH": "\u00b5H",
    "kHz": "kHz",
    "mm3": "mm\u00b3",
    "mm": "mm",
    "um": "\u00b5m",
    "us": "\u00b5s",
    "W": "W",
    "V": "V",
    "A": "A",
    "J": "J",
    "K": "K",
    "C": "\u00b0C",
    "s": "s",
}
UNIT_AT_END = re.compile("_(" + "|".join(UNITS) + ")$")


def plain_words(name):
    """A name with blanks in place of underscores."""
    return name.replace("_", " ")


def tissue_words(name):
    """A tissue as one says it: "liver_ex_vivo" is liver, ex vivo; "liver_perfused" a perfused liver."""
    first, *rest = name.split("_")
    if rest and rest[-1] in BEFORE:
        return " ".join([rest[-1], first, *rest[:-1]])
    return f"{first}, {' '.join(rest)}" if rest and rest[0] in AFTER else plain_words(name)


def key_parts(key):
    """Words and unit of a key of the case: "electrode.contact_fraction" gives ("contact fraction", "")."""
    last = key.split(".")[-1]
    unit = UNIT_AT_END.search(last)
    if unit is None:
        return plain_words(last), ""
    return plain_words(last[:unit.start()]), UNITS[unit[1]]


def key_words(key):
    """A key of the case in words, with what it belongs to: "contact fraction of the electrode"."""
    owner, *inside = key.split(".")
    what, _ = key_parts(key)
    if "damage" in inside[:-1]:
        what = f"damage {what}"
    if owner == "tissue":
        return f"{what} of {tissue_words(inside[0])}"
    return {"electrode": f"{what} of the electrode", "specimen": f"{what} of the specimen"}.get(owner, what)
