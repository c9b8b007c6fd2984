"""The real program in a real (pseudo) terminal."""

import fcntl
import os
import pty
import re
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from collections.abc import Callable
from pathlib import Path

CODES = re.compile(rb"\x1b\[[0-?]*[ -/]*[@-~]|\x1b\][^\x07\x1b]*(?:\x07|\x1b\\)|\x1b[@-_]")

START = """
import sys
from pathlib import Path
from kitprep.tui.app import run
sys.exit(run(Path(sys.argv[1]), sys.argv[2], "Ana"))
"""

PATIENCE_S = 20.0


class Terminal:
    """A process whose terminal we hold: what it wrote, and the keys that we send."""

    def __init__(
        self,
        plan: Path,
        url: str,
        size: tuple[int, int] = (80, 24),
        program: str = START,
        **env: str,
    ) -> None:
        self.master, slave = pty.openpty()
        fcntl.ioctl(slave, termios.TIOCSWINSZ, struct.pack("HHHH", size[1], size[0], 0, 0))
        settings = {**os.environ, "TERM": "xterm-256color", "PYTHONUTF8": "1", **env}
        settings.pop("NO_COLOR", None)
        self.process = subprocess.Popen(
            [sys.executable, "-c", program, str(plan), url],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            env=settings,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        self.raw = b""

    @property
    def plain(self) -> str:
        """Everything written so far, without its codes."""
        return CODES.sub(b"", self.raw).decode("utf-8", "replace")

    def read(self, seconds: float = 0.05) -> None:
        """Takes in what is there."""
        until = time.monotonic() + seconds
        while (left := until - time.monotonic()) > 0:
            ready, _, _ = select.select([self.master], [], [], left)
            if not ready:
                return
            try:
                some = os.read(self.master, 65536)
            except OSError:
                return
            if not some:
                return
            self.raw += some

    def wait(self, until: Callable[[str], object], what: str = "") -> None:
        """Reads until the text is as wished."""
        end = time.monotonic() + PATIENCE_S
        while not until(self.plain):
            assert time.monotonic() < end, f"{what}: {self.plain[-2000:]}"
            self.read()

    def type(self, text: str) -> None:
        """Bytes, all at once."""
        os.write(self.master, text.encode())

    def signal(self, number: int) -> None:
        os.kill(self.process.pid, number)

    def ended(self) -> int:
        """Waits for the end; the exit status, negative where a signal made it."""
        end = time.monotonic() + PATIENCE_S
        while self.process.poll() is None:
            assert time.monotonic() < end, "it lives on"
            self.read()
        self.read(0.2)
        status = self.process.returncode
        assert status is not None
        return status

    def close(self) -> None:
        if self.process.poll() is None:
            self.signal(signal.SIGKILL)
            self.process.wait()
        os.close(self.master)
