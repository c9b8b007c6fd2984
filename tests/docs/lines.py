"""Runs a command line as it stands in a shell, in a copy of the demo."""

import contextlib
import fcntl
import glob
import io
import os
import pty
import select
import shlex
import shutil
import subprocess
import sys
import termios
import time
from pathlib import Path

from kitprep.bundled import bundle
from kitprep.cli import main

PATIENCE_S = 30.0
FOR_A_SHELL = set("<>|$~")
"""What only a shell understands; other lines are run in this process, which is faster."""


class Place:
    """The demo's folder, with a program called kitprep and a ledger of its own."""

    def __init__(self, place: Path) -> None:
        for name in ("kits", "shared"):
            shutil.copytree(bundle() / name, place / name)
        self.folder = place / "kits" / "harbour-of-foxes"
        program = place / "tools" / "kitprep"
        program.parent.mkdir()
        program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m kitprep "$@"\n', "utf-8")
        program.chmod(0o755)
        self.surroundings = {
            "HOME": str(place),
            "KITPREP_LEDGER": f"sqlite:///{place / 'ledger.db'}",
            "KITPREP_WHO": "Noor",
            "PATH": f"{program.parent}{os.pathsep}{os.environ['PATH']}",
            "TERM": "xterm-256color",
            "XDG_CONFIG_HOME": str(place / "settings"),
        }

    def status(self, line: str) -> int:
        """How a line ends."""
        if line.startswith("kitprep") and not FOR_A_SHELL & set(line):
            return self._here(line)
        environment = {**os.environ, **self.surroundings}
        done = subprocess.run(
            ["bash", "-c", line], cwd=self.folder, env=environment, timeout=PATIENCE_S, check=False
        )
        return done.returncode

    def _here(self, line: str) -> int:
        words = shlex.split(line)[1:]
        with contextlib.chdir(self.folder), contextlib.redirect_stdout(io.StringIO()):
            found = [sorted(glob.glob(word)) if "?" in word else [word] for word in words]  # noqa: PTH207
            try:
                return main([word for some in found for word in some])
            except SystemExit as end:
                return int(end.code or 0)

    def status_with_screens(self, line: str, sign: bytes, leave: bytes) -> int:
        """How a line ends that goes on until it is left: a key is pressed when a sign shows."""
        master, slave = pty.openpty()
        process = subprocess.Popen(
            ["bash", "-c", line],
            stdin=slave,
            stdout=slave,
            stderr=slave,
            cwd=self.folder,
            env={**os.environ, **self.surroundings},
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(slave)
        shown, until, pressed = b"", time.monotonic() + PATIENCE_S, False
        try:
            while process.poll() is None:
                assert time.monotonic() < until, shown[-2000:]
                if select.select([master], [], [], 0.1)[0]:
                    with contextlib.suppress(OSError):  # its end of the terminal is gone
                        shown += os.read(master, 65536)
                elif sign in shown and not pressed:
                    os.write(master, leave)
                    pressed = True
        finally:
            process.kill()
            os.close(master)
        return process.returncode
