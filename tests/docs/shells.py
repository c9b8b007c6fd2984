"""A real shell in a (pseudo) terminal, with our completion read in, and a hand on its Tab key."""

import fcntl
import os
import pty
import select
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

PATIENCE_S = 20.0
PROMPT = "READY> "
SET_PROMPT = "'RE''ADY> '"  # in two pieces, so that it is not seen where it is only typed

START = {
    "bash": ["bash", "--noprofile", "--norc", "-i"],
    "zsh": ["zsh", "-f", "-i"],
    "tcsh": ["tcsh", "-f"],
}

# tcsh edits no line on a dumb terminal.
TERMINAL = {"bash": "dumb", "zsh": "dumb", "tcsh": "vt100"}

READS_IT = {
    "bash": f"source ./script; PS1={SET_PROMPT}\n",
    "zsh": (
        "unsetopt zle_bracketed_paste; autoload -Uz compinit; compinit -u -d ./dump; "
        f'eval "$(<./script)"; PROMPT={SET_PROMPT}\n'
    ),
    "tcsh": f"source ./script; set prompt = {SET_PROMPT}\n",
}


def script(shell: str) -> str:
    """What ``kitprep completion`` prints."""
    done = subprocess.run(
        [sys.executable, "-m", "kitprep", "completion", shell],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stderr == ""
    return done.stdout


class Shell:
    """A shell that waits in a folder."""

    def __init__(self, shell: str, folder: Path) -> None:
        (folder / "script").write_text(script(shell), "utf-8")
        self.said = folder / "said"
        self.master, slave = pty.openpty()
        self.process = subprocess.Popen(
            START[shell],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=folder,
            env={
                "PATH": os.environ["PATH"],
                "TERM": TERMINAL[shell],
                "HOME": str(folder),
                "LC_ALL": "C.UTF-8",
            },
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        os.write(self.master, READS_IT[shell].encode())
        self._wait(lambda shown: PROMPT in shown)

    def line_after(self, typed: str) -> str:
        """The command line as it stands after some typing, with Tabs in it.

        It is not run: Ctrl-A puts an echo before it, and what that says goes into a file.
        """
        self.said.unlink(missing_ok=True)
        os.write(self.master, f"{typed}\x01echo \x05 > said\n".encode())
        self._wait(lambda _: self.said.exists() and self.said.read_text("utf-8").endswith("\n"))
        return self.said.read_text("utf-8").strip()

    def close(self) -> None:
        """Ends it."""
        self.process.kill()
        self.process.wait()
        os.close(self.master)

    def _wait(self, enough: Callable[[str], bool]) -> None:
        shown, end = "", time.monotonic() + PATIENCE_S
        while not enough(shown):
            assert time.monotonic() < end, shown
            ready, _, _ = select.select([self.master], [], [], 0.02)
            if ready:
                shown += os.read(self.master, 65536).decode("utf-8", "replace")
