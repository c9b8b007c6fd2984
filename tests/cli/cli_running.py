"""A job as small as they come, and what a run of the program gives."""

from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from kitprep.job import Job
from kitprep.ledger.place import default_url

KIT = """
kit = "small"
name = "A small kit"

[[transmitter]]
model = "pack"
name = "Pack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = "TA3"
power = [{ cell = "FR6", count = 2, hours = 10.0 }]
records = true
card = "mini-sd"
  [[transmitter.unit]]
  tag = "TX01"
  serial = "SN-1"
  [[transmitter.unit]]
  tag = "TX02"
  serial = "SN-2"
  state = "repair"

[[receiver]]
model = "rx"
name = "Receiver"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
outputs = [{ connector = "XLR3" }]
power = [{ cell = "FR6", count = 2, hours = 10.0 }]
  [[receiver.unit]]
  tag = "RX=1"

[[stock]]
cell = "FR6"
qty = 20

[[stock]]
card = "mini-sd"
qty = 2
capacity_gb = 16

[[cell]]
type = "FR6"
source = "made up"
"""

PLAN = """
kit = "kit.toml"
day = 2027-03-14

[[destination]]
id = "recorder"
inputs = 2
connector = "XLR3"

[[source]]
id = "ines"
form = "bodypack"
to = "recorder"

[[scene]]
number = "12A"
start = "09:00"
end = "10:00"
sources = ["ines"]
"""


@dataclass(frozen=True)
class Said:
    """How a run ended, and what it wrote where."""

    status: int
    answer: str
    messages: str


Run = Callable[..., Said]


def gone_out(plan: Path) -> None:
    """Says that the kit is packed and has left, whatever was looked at."""
    with closing(Job.open(plan, default_url(), "Noor", "test")) as job:
        job.advance("packed")
        job.advance("out")
