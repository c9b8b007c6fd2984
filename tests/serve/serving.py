"""A served job of a test's own, in a process of its own, as a person starts it."""

import os
import re
import select
import signal
import subprocess
import sys
import time
from pathlib import Path

ADDRESS = re.compile(r"http://127\.0\.0\.1:(\d+)/\?token=(\S+)")
PATIENCE_S = 20.0


class Served:
    """``kitprep serve`` under way."""

    def __init__(self, plan: Path, ledger: str, *words: str) -> None:
        folder = Path(ledger.removeprefix("sqlite:///")).parent
        self.process = subprocess.Popen(
            [sys.executable, "-m", "kitprep", "serve", str(plan), "--port", "0", *words],
            env={
                **os.environ,
                "KITPREP_LEDGER": ledger,
                "KITPREP_WHO": "Ana",
                "XDG_STATE_HOME": f"{folder}/state",
                "XDG_CONFIG_HOME": f"{folder}/config",
            },
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        assert self.process.stdout is not None
        ready, _, _ = select.select([self.process.stdout], [], [], PATIENCE_S)
        assert ready, "it says no address"
        self.url = self.process.stdout.readline().decode().strip()
        found = ADDRESS.fullmatch(self.url)
        assert found is not None, self.url
        self.port, self.token = int(found[1]), found[2]
        self.home = f"http://127.0.0.1:{self.port}"

    def stop(self) -> int:
        """Ends it as Ctrl+C does; the exit status."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
        try:
            return self.process.wait(timeout=PATIENCE_S)
        finally:
            if self.process.poll() is None:
                self.process.kill()
            assert self.process.stdout is not None
            self.process.stdout.close()


def children_of(pid: int) -> list[int]:
    """The processes that a process has started."""
    found = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            after_name = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(after_name[1]) == pid:
            found.append(int(stat.parent.name))
    return found


def wait_until(holds: object, what: str) -> None:
    """Waits until a question is answered with yes."""
    assert callable(holds)
    end = time.monotonic() + PATIENCE_S
    while not holds():
        assert time.monotonic() < end, what
        time.sleep(0.05)
