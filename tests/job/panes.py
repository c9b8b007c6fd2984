"""A real terminal to sit at: the program in a tmux pane of 80 by 24, its keys and its screen.

A screen is read by what stays when its words change: the lines around the body, the marks, what is
offered and by which key, and what was said last.
"""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
import uuid
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

PATIENCE_S = 30.0


@dataclass(frozen=True)
class Screen:
    """What a pane shows, line by line."""

    lines: tuple[str, ...]

    @property
    def text(self) -> str:
        """All of it with single spaces, so that where a line breaks does not matter."""
        return " ".join(" ".join(self.lines).split())

    @property
    def stage(self) -> str:
        """How far the job is: planned, packing, packed, out, returned or closed."""
        return self.packed[0]

    @property
    def packed(self) -> tuple[str, int, int]:
        """The stage, and how many lines of how many are packed."""
        found = re.search(r"(\w+) +(\d+)/(\d+)", self.lines[0] if self.lines else "")
        return (found[1], int(found[2]), int(found[3])) if found else ("", 0, 0)

    @property
    def open(self) -> str:
        """The key of the screen that is open: F2 to F8; nothing before the job is there."""
        found = re.search(r"\[(F\d) ", self.lines[1] if len(self.lines) > 1 else "")
        return found[1] if found else ""

    @property
    def banner(self) -> str:
        """The sentence at the top that stays; wherever a sheet lies over it, what is seen of it."""
        if len(self.lines) < 3 or "[!] " not in self.lines[2][:8]:
            return ""
        said = [self.lines[2]]
        for line in self.lines[3:8]:
            if "(Esc)" in said[-1] or not line.startswith("    "):
                break
            said.append(line)
        return " ".join(" ".join(said).split())

    @property
    def marked(self) -> str:
        """The line under the cursor, from its mark on."""
        found = [line[2:] for line in self.lines if re.match(r"> ", line)]
        return found[0].rstrip() if found else ""

    @property
    def detail(self) -> str:
        """The title of the line in full, with what its mark: "TX01 Slim bodypack [x] back"."""
        found = [line for line in self.lines if line.startswith("── ")]
        return re.sub(r" ─+ ", " ", found[-1].removeprefix("── ")).strip() if found else ""

    @property
    def offered(self) -> Mapping[str, str]:
        """The answers offered to what is asked, by their keys."""
        found: list[str] = []
        rest = ""
        for line in reversed(self.lines[: self._field]):
            if not re.match(r"   \S", line):
                break
            words = f"{line.strip()} {rest}".strip()
            rest = "" if re.match(r"   \S( |$)", line) else words  # an answer goes on there
            found = found if rest else [*re.split(r" {3,}", words), *found]
        return {each[0]: each[2:] or each for each in found}

    @property
    def said(self) -> str:
        """The reply to the last answer, from its mark on."""
        return " ".join(" ".join(self.lines[self._field + 1 : -1]).split())

    @property
    def _field(self) -> int:
        """The line of the field; it has no mark where nothing can be typed."""
        found = [n for n, line in enumerate(self.lines) if line.lstrip().startswith("=>")]
        return found[-1] if found else max(len(self.lines) - 4, 0)


class Pane:
    """One program in a terminal of its own. ``who`` sits there."""

    def __init__(self, who: str, plan: Path, url: str, home: Path) -> None:
        self.who = who
        self._socket = f"kitprep-{uuid.uuid4().hex[:8]}"
        settings = {
            "KITPREP_WHO": who,
            "KITPREP_LEDGER": url,
            "XDG_CONFIG_HOME": str(home / who),
            "XDG_STATE_HOME": str(home / who),
            "PYTHONUTF8": "1",
        }
        words = ["env", *(f"{k}={v}" for k, v in settings.items()), sys.executable, "-m", "kitprep"]
        start = ("-f", os.devnull, "new-session", "-d", "-x", "80", "-y", "24")
        escape = ("set-option", "-s", "escape-time", "0")
        stays = ("set-option", "-g", "remain-on-exit", "on")  # what it says as it dies is read too
        self._tmux(*start, *words, str(plan), ";", *escape, ";", *stays)

    def close(self) -> None:
        self._tmux("kill-server")
        sockets = Path(os.environ.get("TMUX_TMPDIR", "/tmp"), f"tmux-{os.getuid()}")
        (sockets / self._socket).unlink(missing_ok=True)

    def kill(self) -> None:
        """Ends the program at once (SIGKILL); its last picture stays."""
        os.kill(int(self._tmux("display-message", "-p", "#{pane_pid}")), signal.SIGKILL)

    def press(self, *keys: str) -> None:
        """Keys by tmux's names for them: F5, C-t, Escape, Enter, Up."""
        if keys:
            self._tmux("send-keys", *keys)
        if "Escape" in keys:
            time.sleep(0.2)  # or the next key is taken for one with Alt

    def type(self, text: str) -> None:
        """Text and an Enter, as from a scanner."""
        self._tmux("send-keys", "-l", text, ";", "send-keys", "Enter")

    @property
    def screen(self) -> Screen:
        """What is on the screen now, less what is told beside it for some seconds.

        Of a program that has ended, an error with its last words.
        """
        lines = self._tmux("capture-pane", "-p").splitlines()
        assert not any(line.startswith("Pane is dead") for line in lines), "\n".join(lines)
        return Screen(tuple(line.partition("▌")[0] for line in lines))

    def wait(self, until: Callable[[Screen], object]) -> Screen:
        """The screen once it is as wished."""
        seen = self.look(until)
        assert until(seen), f"{self.who} waits in vain:\n" + "\n".join(seen.lines)
        return seen

    def still(self) -> Screen:
        """The screen once it stands, so that no half of a picture is read."""
        seen, same = self.screen, 0
        end = time.monotonic() + PATIENCE_S
        while same < 2 and time.monotonic() < end:
            time.sleep(0.06)
            seen, before = self.screen, seen
            same = same + 1 if seen == before else 0
        return seen

    def look(self, until: Callable[[Screen], object], patience_s: float = PATIENCE_S) -> Screen:
        """The screen once it is as wished, or as it is when patience is at its end."""
        end = time.monotonic() + patience_s
        while not until(seen := self.screen) and time.monotonic() < end:
            time.sleep(0.03)
        return seen

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            ["tmux", "-L", self._socket, *words], capture_output=True, text=True, timeout=20
        )
        assert done.returncode == 0, done.stderr
        return done.stdout
