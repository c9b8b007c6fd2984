"""A real shell in a (pseudo) terminal, with our completion read in, and a hand on its Tab key."""

import os
import pty
import select
import subprocess
import sys
import time
from pathlib import Path

PATIENCE_S = 20.0
PROMPT = "READY> "
SET_PROMPT = "'RE''ADY> '"  # two pieces, so that the prompt is not seen where it is only typed

START = {
    "bash": ["bash", "--noprofile", "--norc", "-i"],
    "zsh": ["zsh", "-f", "-i"],
    "tcsh": ["tcsh", "-f"],
}

READS_IT = {
    "bash": f"source ./script; PS1={SET_PROMPT}\n",
    "zsh": (
        "unsetopt zle_bracketed_paste; autoload -Uz compinit; compinit -u -d ./dump; "
        f"source ./script; PROMPT={SET_PROMPT}\n"
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


def completed(shell: str, typed: str, folder: Path) -> str:
    """The command line as it stands after some typing, Tabs among it, in a folder.

    The line is not run: Ctrl-A puts an echo before it, and what that says goes into a file.
    """
    (folder / "script").write_text(script(shell), "utf-8")
    said = folder / "said"
    master, slave = pty.openpty()
    process = subprocess.Popen(
        START[shell],
        stdin=slave,
        stdout=slave,
        stderr=slave,
        cwd=folder,
        env={"PATH": os.environ["PATH"], "TERM": "dumb", "HOME": str(folder), "LC_ALL": "C.UTF-8"},
        start_new_session=True,
    )
    os.close(slave)
    try:
        os.write(master, READS_IT[shell].encode())
        _wait(master, lambda shown: PROMPT in shown)
        os.write(master, f"{typed}\x01echo \x05 > said\n".encode())
        _wait(master, lambda shown: said.exists() and said.read_text("utf-8").endswith("\n"))
    finally:
        process.kill()
        process.wait()
        os.close(master)
    return said.read_text("utf-8").strip()


def _wait(master: int, enough) -> None:  # type: ignore[no-untyped-def]
    shown, end = "", time.monotonic() + PATIENCE_S
    while not enough(shown):
        assert time.monotonic() < end, shown
        ready, _, _ = select.select([master], [], [], 0.05)
        if ready:
            shown += os.read(master, 65536).decode("utf-8", "replace")
