"""A day of two scenes, small enough to hold in the head, and job states made by hand."""

import tomllib
from collections.abc import Iterable
from functools import cache
from typing import Any

from kitprep.definitions.kit import Kit
from kitprep.definitions.plan import Plan
from kitprep.ledger.entries import Entry
from kitprep.ledger.events import JobState, fold
from kitprep.planning.day import work_out
from kitprep.planning.results import WorkedDay

KIT = """
kit = "small"
name = "A small kit"
firmware = { main = "5.2" }

[[transmitter]]
model = "pack"
name = "Pack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = "TA3"
image = "main"
records = true
card = "mini-sd"
case = "pouch"
power = [{ cell = "FR6", count = 2, hours = 10.0 }]
  [[transmitter.unit]]
  tag = "TX01"
  serial = "SN-1"
  [[transmitter.unit]]
  tag = "TX02"
  serial = "SN-2"
  [[transmitter.unit]]
  tag = "TX03"
  [[transmitter.unit]]
  tag = "TX04"
  state = "repair"
  [[transmitter.unit]]
  tag = "TX05"
  state = "missing"

[[adapter]]
model = "stereo-adapter"
fits = ["pack"]
channels = 2
connector = "TA5"
case = "pouch"
  [[adapter.unit]]
  tag = "AD1"

[[receiver]]
model = "rx"
name = "Receiver"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
modules = 2
modes = ["mono", "stereo"]
outputs = [{ connector = "XLR3" }, { connector = "XLR3" }]
case = "rx-case"
power = [{ dc_v = [10.0, 18.0], watts = 15.0 }]
  [[receiver.unit]]
  tag = "RX1"

[[stock]]
cell = "FR6"
qty = 7
case = "power-case"

[[stock]]
card = "mini-sd"
qty = 4
capacity_gb = 16
case = "pouch"

[[supply]]
id = "bag"
volts = [11.0, 16.8]
wh = 98
packs = 2

[[case]]
id = "pouch"
name = "Transmitter pouch"

[[case]]
id = "rx-case"
name = "Receiver case"

[[case]]
id = "power-case"
name = "Power case"

[[item]]
model = "tape"
name = "Tape, roll"
qty = 1
each = 2

[[cell]]
type = "FR6"
source = "made up"
"""

PLAN = """
kit = "kit.toml"
day = 2027-03-14

[[destination]]
id = "recorder"
name = "Recorder"
inputs = 4
connector = "XLR3"
supplies = ["bag"]

[[source]]
id = "ines"
name = "Ines"
form = "bodypack"
connector = "TA3"
to = "recorder"

[[source]]
id = "band"
name = "The band"
form = "bodypack"
channels = 2
connector = "TA5"
to = "recorder"
intent = "pair"

[[source]]
id = "feeds"
name = "Two feeds"
form = "bodypack"
channels = 2
connector = "TA5"
to = "recorder"
intent = "tracks"

[[scene]]
number = "1"
start = "09:00"
end = "10:00"
sources = ["ines", "band"]

[[scene]]
number = "2"
start = "11:00"
end = "12:00"
sources = ["ines", "feeds"]
"""


@cache
def small_day() -> WorkedDay:
    """TX01 on ines; TX02 with AD1 on the band and then on the feeds; RX1 hears them all.

    To pack: these four, 6 FR6 (two pairs and one spare), 2 cards, a bag pack, 2 rolls of tape of
    which 1 is held.
    """
    kit = Kit.model_validate(tomllib.loads(KIT))
    return work_out(kit, Plan.model_validate(tomllib.loads(PLAN)))


Told = tuple[str, str, dict[str, Any]]
"""An event made by hand: item, kind, facts."""


def entries(*told: Told) -> list[Entry]:
    """Ledger entries of these events, a minute apart, all by Noor."""
    found: list[Entry] = []
    for seq, (item, kind, facts) in enumerate(told, start=1):
        mine = sum(entry.item == item for entry in found) + 1
        at = f"2027-03-13T20:{seq:02d}:00.000Z"
        body = {"kind": kind, "at": at, "who": "Noor", "how": "test", **facts}
        found.append(Entry(seq, f"id-{seq}", "small/2027-03-14", item, mine, body, "", ""))
    return found


def state(*told: Told) -> JobState:
    """A job after these events."""
    return fold(entries(*told))


def all_packed(day: WorkedDay, but: Iterable[str] = ()) -> list[Told]:
    """Every line of the list packed in full, but for some."""
    skip = set(but)
    return [(line.key, "packed", {"qty": line.qty}) for line in day.packing if line.key not in skip]
