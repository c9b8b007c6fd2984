"""A real terminal to sit at: the program in a tmux pane of 80 by 24, its keys and its screen."""

from __future__ import annotations

import os
import subprocess
import sys
import time
import uuid
from collections.abc import Callable
from pathlib import Path

PATIENCE_S = 30.0


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
        self._tmux("-f", os.devnull, "new-session", "-d", "-x", "80", "-y", "24", *words, str(plan))
        self._tmux("set-option", "-s", "escape-time", "0")

    def close(self) -> None:
        self._tmux("kill-server")

    def press(self, *keys: str) -> None:
        """Keys by tmux's names for them: F5, C-t, Escape, Enter, Up."""
        for key in keys:
            self._tmux("send-keys", key)
            if key == "Escape":
                time.sleep(0.2)  # or the next key is taken for one with Alt

    def type(self, text: str) -> None:
        """Text and an Enter, as from a scanner."""
        self._tmux("send-keys", "-l", text)
        self._tmux("send-keys", "Enter")

    @property
    def lines(self) -> list[str]:
        """The screen, line by line."""
        return self._tmux("capture-pane", "-p").splitlines()

    @property
    def text(self) -> str:
        """The screen with single spaces, so that where a line breaks does not matter."""
        return " ".join(" ".join(self.lines).split())

    def wait(self, until: Callable[[str], object]) -> str:
        """The screen once it is as wished."""
        end = time.monotonic() + PATIENCE_S
        while not until(text := self.text):
            assert time.monotonic() < end, f"{self.who} waits in vain:\n" + "\n".join(self.lines)
            time.sleep(0.04)
        return text

    def _tmux(self, *words: str) -> str:
        done = subprocess.run(
            ["tmux", "-L", self._socket, *words], capture_output=True, text=True, timeout=20
        )
        assert done.returncode == 0, done.stderr
        return done.stdout
