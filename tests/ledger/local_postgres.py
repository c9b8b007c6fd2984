"""A throwaway PostgreSQL server: for a command's time, or for a test that must crash one.

    python tests/ledger/local_postgres.py -- pytest tests/ledger

runs the command with KITPREP_TEST_POSTGRES naming an empty database, and exits as it does. Without
a command it prints the URL and waits for the end of its input. Nothing outlives it.

PostgreSQL does not run as root; there, the account `postgres` that its package makes is used.
"""

from __future__ import annotations

import os
import pwd
import re
import shutil
import socket
import subprocess
import sys
import tempfile
from pathlib import Path
from typing import Any

VARIABLE = "KITPREP_TEST_POSTGRES"
_PLACES = ("usr/lib/postgresql/*/bin", "usr/pgsql-*/bin", "opt/homebrew/opt/postgresql*/bin")


def binaries() -> Path | None:
    """Find the folder that holds the server's programs, the newest of several; None if none."""
    found = [folder for place in _PLACES for folder in Path("/").glob(place)]
    found = [folder for folder in found if (folder / "initdb").exists()]
    if found:
        return max(found, key=lambda folder: [int(n) for n in re.findall(r"\d+", str(folder))])
    on_path = shutil.which("initdb")
    return Path(on_path).resolve().parent if on_path else None


class LocalPostgres:
    """A server in a folder of its own, running between `with` and its end."""

    def __init__(self) -> None:
        folder = binaries()
        if folder is None:
            raise RuntimeError("PostgreSQL is not installed here (its initdb was not found)")
        self._bin = folder
        self._folder = Path(tempfile.mkdtemp(prefix="kitprep-postgres-"))
        self._port = _free_port()
        self._account: dict[str, Any] = {}
        if os.geteuid() == 0:
            account = pwd.getpwnam("postgres")
            os.chown(self._folder, account.pw_uid, account.pw_gid)
            self._account = {"user": "postgres", "group": account.pw_gid, "extra_groups": []}

    @property
    def url(self) -> str:
        return f"postgresql+psycopg://crew@127.0.0.1:{self._port}/kit"

    def __enter__(self) -> LocalPostgres:
        try:
            self._run("initdb", "-D", "data", "-U", "crew", "-A", "trust", "-E", "UTF8",
                      "--locale=C.UTF-8")  # fmt: skip
            self.start()
            self._run("createdb", "-h", "127.0.0.1", "-p", str(self._port), "-U", "crew", "kit")
        except BaseException:
            self.__exit__()
            raise
        return self

    def __exit__(self, *exception: object) -> None:
        if (self._folder / "data" / "postmaster.pid").exists():
            self._run("pg_ctl", "-D", "data", "-m", "fast", "-w", "stop")
        shutil.rmtree(self._folder)

    def start(self) -> None:
        options = f"-c listen_addresses=127.0.0.1 -p {self._port} -k {self._folder}"
        self._run("pg_ctl", "-D", "data", "-l", "log", "-w", "-t", "30", "-o", options, "start")

    def crash(self) -> None:
        """Stop the server as a crash would: nothing is finished, nothing written out."""
        self._run("pg_ctl", "-D", "data", "-m", "immediate", "-w", "stop")

    def _run(self, program: str, *arguments: str) -> None:
        # The output goes to a file: the server keeps it open, and would keep a pipe from ending.
        output = self._folder / "output"
        with output.open("w") as out:
            done = subprocess.run(
                [str(self._bin / program), *arguments],
                cwd=self._folder,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
                check=False,
                **self._account,
            )
        if done.returncode != 0:
            raise RuntimeError(f"{program} failed: {output.read_text().strip()}")


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def main(arguments: list[str]) -> int:
    command = arguments[1:] if arguments[:1] == ["--"] else arguments
    with LocalPostgres() as server:
        if command:
            environment = os.environ | {VARIABLE: server.url}
            return subprocess.run(command, env=environment, check=False).returncode
        sys.stdout.write(f"{server.url}\n")
        sys.stdout.flush()
        sys.stdin.read()
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
