"""How soon the screens are there, how fast a key is answered, what they hold in memory.

    python tests/benchmarks/bench_screens.py [RUNS]

Prints a Markdown table. A bare Textual app of one list is started in turn with ours, and a ratio is
the median of those pairs, so that it means something elsewhere, and on a busy machine, too.
"""

import fcntl
import os
import pty
import select
import statistics
import struct
import subprocess
import sys
import tempfile
import termios
import time
from collections.abc import Callable, Sequence
from pathlib import Path

BARE = """
from textual.app import App
from textual.widgets import OptionList
class Bare(App):
    def compose(self):
        yield OptionList(*[f"WORKABLE row {n}" for n in range(50)])
Bare().run()
"""

LINES = 2_000

KIT = """
kit = "big"
name = "A big kit"

[[transmitter]]
model = "pack"
name = "Pack"
form = "bodypack"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
connector = "TA3"
power = [{ cell = "FR6", count = 2, hours = 10.0 }]
  [[transmitter.unit]]
  tag = "TX01"

[[receiver]]
model = "rx"
name = "Receiver"
system = "d1"
tuning_mhz = [[518.0, 572.0]]
outputs = [{ connector = "XLR3" }]
power = [{ cell = "FR6", count = 2, hours = 10.0 }]
  [[receiver.unit]]
  tag = "RX01"

[[stock]]
cell = "FR6"
qty = 20

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

ITEM = """
[[item]]
model = "thing-{n}"
name = "Thing number {n}"
qty = 1
each = 1
per = "day"
"""


class Seen:
    """A program in a terminal of 80x24, with what it wrote."""

    def __init__(self, *words: str, **env: str) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", 24, 80, 0, 0))
        self.started = time.perf_counter()
        self.process = subprocess.Popen(
            [sys.executable, *words],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env={**os.environ, "TERM": "xterm-256color", **env},
            start_new_session=True,
        )
        os.close(slave)

    def until(self, mark: bytes, patience_s: float = 60) -> float:
        """Milliseconds until something is on the screen."""
        begun, raw = time.perf_counter(), b""
        while mark not in raw:
            left = patience_s - (time.perf_counter() - begun)
            if left <= 0 or not select.select([self.master], [], [], left)[0]:
                raise SystemExit(f"{mark!r} never came: {raw[-500:]!r}")
            raw += os.read(self.master, 65536)
        return (time.perf_counter() - begun) * 1000

    def quiet(self, seconds: float = 0.3) -> None:
        """Until nothing more is written."""
        while select.select([self.master], [], [], seconds)[0]:
            os.read(self.master, 65536)

    def key(self, key: bytes) -> float:
        """Milliseconds from a key to the first byte of what it changes."""
        begun = time.perf_counter()
        os.write(self.master, key)
        select.select([self.master], [], [], 10)
        took = (time.perf_counter() - begun) * 1000
        self.quiet(0.06)
        return took

    @property
    def memory_mib(self) -> float:
        """Resident memory."""
        status = Path(f"/proc/{self.process.pid}/status")
        if not status.exists():
            return float("nan")
        line = next(line for line in status.read_text().splitlines() if "VmRSS" in line)
        return int(line.split()[1]) / 1024

    def end(self) -> None:
        self.process.kill()
        self.process.wait()
        os.close(self.master)


def kitprep(plan: Path, folder: Path) -> Seen:
    return Seen(
        "-m",
        "kitprep",
        "open",
        str(plan),
        KITPREP_LEDGER=f"sqlite:///{folder}/ledger.db",
        XDG_STATE_HOME=str(folder / "state"),
        XDG_CONFIG_HOME=str(folder / "config"),
    )


def shown(numbers: Sequence[float], digits: int = 0) -> str:
    """Median and range."""
    middle, low, high = statistics.median(numbers), min(numbers), max(numbers)
    return f"{middle:.{digits}f} ({low:.{digits}f}–{high:.{digits}f})"


def opening(open_it: Callable[[], Seen], marks: Sequence[bytes]) -> tuple[list[float], float]:
    """Milliseconds from the start until each mark is on the screen, and the memory then in MiB."""
    seen, times = open_it(), []
    for mark in marks:
        seen.until(mark)
        times.append((time.perf_counter() - seen.started) * 1000)
    seen.quiet(0.6)
    memory = seen.memory_mib
    seen.end()
    return times, memory


def row(what: str, times: Sequence[float], beside: Sequence[float] | None = None) -> str:
    """A line of the table: median and range, and the median ratio to the runs beside."""
    ratio = ""
    if beside is not None:
        ratio = f"{statistics.median(a / b for a, b in zip(times, beside, strict=True)):.2f}"
    return f"| {what} | {shown(times, 0 if beside else 1)} | {ratio} |"


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    from kitprep.bundled import demo_plan

    bare, first, figures, big = [], [], [], []
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        items = "".join(ITEM.format(n=n) for n in range(1, LINES + 1))
        (folder / "kit.toml").write_text(KIT + items, "utf-8")
        (folder / "day.toml").write_text(PLAN, "utf-8")
        opening(lambda: kitprep(demo_plan(1), folder), [b"WORKABLE"])
        for _ in range(runs):
            (paint,), bare_mib = opening(lambda: Seen("-c", BARE), [b"WORKABLE"])
            bare.append(paint)
            marks = [b"12A", b"WORKABLE"]
            (scenes, worked), demo_mib = opening(lambda: kitprep(demo_plan(1), folder), marks)
            first.append(scenes)
            figures.append(worked)
            (scenes, _), big_mib = opening(lambda: kitprep(folder / "day.toml", folder), marks)
            big.append(scenes)
        seen = kitprep(folder / "day.toml", folder)
        seen.until(b"WORKABLE")
        seen.quiet()
        seen.key(b"\x1b[15~")
        seen.quiet(0.5)
        moves = [seen.key(b"\x1b[B") for _ in range(100)]
        pages = [seen.key(b"\x1b[6~") for _ in range(50)]
        letters = [seen.key(b"a") for _ in range(50)]
        seen.end()
    lines = [
        "| what | median (least to most) | of bare |",
        "| --- | --- | --- |",
        row("bare Textual app: start to first row, ms", bare, bare),
        row("demo day 1: start to the day's scenes on their clock, ms", first, bare),
        row("demo day 1: start to all figures, ms", figures, bare),
        row(f"{LINES} lines: start to the day's scenes, ms", big, bare),
        row(f"cursor down among {LINES} lines: key to first byte, ms", moves),
        row(f"a page down among {LINES} lines: key to first byte, ms", pages),
        row("a letter into the field there: key to first byte, ms", letters),
        f"| memory, bare app, MiB | {bare_mib:.0f} | 1.00 |",
        f"| memory, demo day 1, MiB | {demo_mib:.0f} | {demo_mib / bare_mib:.2f} |",
        f"| memory, {LINES} lines, MiB | {big_mib:.0f} | {big_mib / bare_mib:.2f} |",
    ]
    sys.stdout.write("\n".join(lines) + "\n")


if __name__ == "__main__":
    main()
