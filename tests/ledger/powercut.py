"""Every disk that a power cut could leave behind, from the writes that SQLite really made.

`Recorder` is a SQLite file system (a VFS, by way of apsw) that lets everything through and notes
each write, sync, creation and deletion. `disks` then plays the notes back: after each of them it
gives the disks that could be found when the power went just there. A write that was not synced is
there, or not, or there in part (torn at a sector of 512 bytes), each by itself; of the changes to
a folder that were not synced, any first few are there. Most real file systems are kinder.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import apsw

SECTOR = 512
_JOURNALS = apsw.SQLITE_OPEN_MAIN_JOURNAL | apsw.SQLITE_OPEN_SUPER_JOURNAL | apsw.SQLITE_OPEN_WAL


@dataclass(frozen=True)
class Note:
    """One thing that happened: `what` is write, truncate, sync, create, delete, or the test's."""

    what: str
    name: str = ""
    offset: int = 0
    data: bytes = b""
    folder_synced: bool = False


@dataclass(frozen=True)
class Disk:
    """What was found after the power came back, and the last of the test's own notes before."""

    files: tuple[tuple[str, bytes], ...]
    marks: int


class Recorder(apsw.VFS):
    """A file system named `name` for apsw, whose notes are in `notes`."""

    def __init__(self, name: str) -> None:
        super().__init__(name, base="")
        self.name = name
        self.notes: list[Note] = []

    def mark(self) -> None:
        """Note that the test has just acknowledged something."""
        self.notes.append(Note("mark"))

    def xOpen(self, name: Any, flags: list[int]) -> apsw.VFSFile:
        path = name.filename() if isinstance(name, apsw.URIFilename) else name
        return _RecordedFile(self, path, name, flags)

    def xDelete(self, filename: str, syncdir: bool) -> None:
        super().xDelete(filename, syncdir)
        name = Path(filename).name
        self.notes.append(Note("delete", name, folder_synced=bool(syncdir)))


class _RecordedFile(apsw.VFSFile):
    def __init__(self, recorder: Recorder, path: str, name: Any, flags: list[int]) -> None:
        new = bool(flags[0] & apsw.SQLITE_OPEN_CREATE) and not Path(path).exists()
        # SQLite's own file system syncs the folder with the first sync of a new journal.
        self._folder_is_due = new and bool(flags[0] & _JOURNALS)
        self._notes = recorder.notes
        self._name = Path(path).name
        super().__init__("", name, flags)
        if new:
            self._notes.append(Note("create", self._name))

    def xWrite(self, data: bytes, offset: int) -> None:
        super().xWrite(data, offset)
        self._notes.append(Note("write", self._name, offset, bytes(data)))

    def xTruncate(self, size: int) -> None:
        super().xTruncate(size)
        self._notes.append(Note("truncate", self._name, size))

    def xSync(self, flags: int) -> None:
        # Noting it is enough: no power is really cut, and a real sync would only take its time.
        self._notes.append(Note("sync", self._name, folder_synced=self._folder_is_due))
        self._folder_is_due = False


@dataclass
class _File:
    """A file's content as it is surely on disk, and what was done to it since."""

    synced: bytes = b""
    since: list[Note] = field(default_factory=list)

    def content(self, notes: list[Note]) -> bytes:
        found = bytearray(self.synced)
        for note in notes:
            if note.what == "truncate":
                del found[note.offset :]
                continue
            if len(found) < note.offset:
                found.extend(bytes(note.offset - len(found)))
            found[note.offset : note.offset + len(note.data)] = note.data
        return bytes(found)

    def could_be(self, rng: random.Random) -> list[bytes]:
        """Contents that a power cut could leave: as synced, as written, and some in between."""
        parts = [[note for note in self.since if rng.random() < 0.5] for _ in range(4)]
        return [self.content(each) for each in ([], self.since, self._torn(rng), *parts)]

    def _torn(self, rng: random.Random) -> list[Note]:
        if not self.since:
            return []
        *before, last = self.since
        sectors = -(-len(last.data) // SECTOR)
        kept = rng.randrange(sectors) * SECTOR if sectors else 0
        return [*before, Note(last.what, last.name, last.offset, last.data[:kept])]


def disks(notes: list[Note], seed: int = 0) -> Iterator[Disk]:
    """Give each disk that a power cut after any of the notes could leave, none twice in a row."""
    rng = random.Random(seed)
    synced: dict[str, _File] = {}  # the folder as it is surely on disk
    now: dict[str, _File] = {}  # the folder as programs see it
    since: list[dict[str, _File]] = []  # the folder after each of its changes not yet synced
    marks = 0
    seen: set[Disk] = set()
    for note in notes:
        if note.what == "mark":
            marks += 1
            seen.clear()
        elif note.what == "create":
            now = now | {note.name: _File()}
            since.append(now)
        elif note.what == "delete":
            now = {name: file for name, file in now.items() if name != note.name}
            since.append(now)
        elif note.what == "sync":
            file = now[note.name]
            file.synced, file.since = file.content(file.since), []
        else:
            now[note.name].since.append(note)
        if note.folder_synced:
            synced, since = now, []
        for folder in (synced, *since):
            for disk in _contents(folder, marks, rng):
                if disk not in seen:
                    seen.add(disk)
                    yield disk


def _contents(folder: dict[str, _File], marks: int, rng: random.Random) -> Iterator[Disk]:
    could_be = {name: file.could_be(rng) for name, file in sorted(folder.items())}
    for choice in ("as synced", "as written", *["mixed"] * 8):
        files = tuple(
            (name, rng.choice(contents) if choice == "mixed" else contents[choice == "as written"])
            for name, contents in could_be.items()
        )
        yield Disk(files, marks)
