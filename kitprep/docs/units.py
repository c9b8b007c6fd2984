"""The unit of every number in the files; most names say it themselves."""

from collections.abc import Mapping

UNITS: Mapping[str, str] = {
    "g": "gram",
    "kg": "kilogram",
    "m": "metre",
    "MHz": "megahertz",
    "V": "volt",
    "W": "watt",
    "Wh": "watt hour",
    "mAh": "milliampere hour",
    "h": "hour",
    "min": "minute",
    "°C": "degree Celsius",
    "GB": "gigabyte, decimal: 1 000 000 000 bytes",
    "money": "whatever the production counts in; the same in the whole kit",
    "share": "a part of one: 0.2 is a fifth",
    "sets a device": "how many sets of cells for each device that takes them",
    "count": "so many of what the key names",
    "rank": "a place in an order, 1 first",
}
"""Each unit as the reference writes it, and what it is."""

_BY_ENDING: Mapping[str, str] = {
    "_g": "g",
    "_kg": "kg",
    "_m": "m",
    "_mhz": "MHz",
    "_v": "V",
    "_h": "h",
    "_min": "min",
    "_c": "°C",
    "_gb": "GB",
}

_BY_KEY: Mapping[str, str] = {
    "volts": "V",
    "fresh_volts": "V",
    "watts": "W",
    "wh": "Wh",
    "mah": "mAh",
    "hours": "h",
    "hours_stereo": "h",
    "charge_hours": "h",
    "value": "money",
    "capacity_at": "°C, share",
    **dict.fromkeys(("standby", "efficiency", "reserve", "spare"), "share"),
    **dict.fromkeys(("bays", "channels", "count", "each", "inputs", "listeners"), "count"),
    **dict.fromkeys(("modules", "outlets", "packs", "poles", "qty"), "count"),
    "priority": "rank",
}

_BY_TABLE: Mapping[tuple[str, str], str] = {("Plan", "spare"): "sets a device"}
"""Keys that mean something else in one table, by the name of its model."""


class NoUnit(Exception):
    """A number in the files whose unit nobody has said."""


def unit_of(table: str, key: str) -> str:
    """The unit of the numbers under a key of a table, as in ``UNITS``.

    Raises:
        NoUnit: where neither the name's ending nor the tables here say it.
    """
    if (table, key) in _BY_TABLE:
        return _BY_TABLE[table, key]
    if key in _BY_KEY:
        return _BY_KEY[key]
    for ending, unit in _BY_ENDING.items():
        if key.endswith(ending):
            return unit
    raise NoUnit(f"no unit is known for {key}; write it in kitprep/docs/units.py")
