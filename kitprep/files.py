"""Writing files: whole or not at all, on the disk before it is said, never over a person's work.

The one place that writes what the program makes. A file is written beside its place under another
name, synced, looked at, and only then given its name; whatever stops that leaves nothing behind.
"""

import os
import secrets
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path

from kitprep.definitions.text import clean_message

Check = Callable[[Path], object]
"""Looks at what was written before it gets its name; raises where it must not."""


class NotWritten(Exception):
    """Nothing was written: what stands in the way; what to do."""


def write_new(path: Path, content: bytes, check: Check | None = None) -> None:
    """A file that is not there yet.

    Raises:
        NotWritten: where something has the name already, or the disk refuses.
    """
    if os.path.lexists(path):
        raise NotWritten(_there_already(path, [path.name], "write another name"))
    with _staged(path, content) as staged:
        if check is not None:
            check(staged)
        _name(staged, path)


def replace(path: Path, content: bytes) -> None:
    """A file of the program's own, new or in place of the one before.

    Raises:
        NotWritten: where it is no file, or the disk refuses.
    """
    path = Path(os.path.realpath(path))
    if path.exists() and not path.is_file():
        raise NotWritten(f"{_shown(path)} is no file; write the name of a file")
    with _staged(path, content) as staged:
        if path.exists():
            shutil.copymode(path, staged)
        staged.replace(path)
        _sync_folder(path.parent)


def replace_known(path: Path, known: bytes, content: bytes) -> None:
    """A person's file in place of what was read of it.

    Raises:
        NotWritten: where the file holds anything else by now, or the disk refuses.
    """
    path = Path(os.path.realpath(path))
    with _staged(path, content) as staged:
        # The last look comes right before the name is given.
        if not path.is_file() or path.read_bytes() != known:
            raise NotWritten(
                f"{_shown(path)} is not what was read any more, and nothing is written over; "
                "read it again"
            )
        shutil.copymode(path, staged)
        staged.replace(path)
        _sync_folder(path.parent)


def write_folder(folder: Path, files: Mapping[str, bytes], check: Check | None = None) -> None:
    """Several new files, by their paths inside a folder, which is made where it is missing.

    All or none: a folder that is not there gets its name when all is in it. Into one that is there
    the files go one by one, the last of the mapping last, and are taken out again if one cannot.

    Raises:
        NotWritten: where any of the files is there already, with their names; or the disk refuses.
    """
    tops = list(dict.fromkeys(Path(name).parts[0] for name in files))
    refuse_if_there(folder, tops)
    with _refusals(folder):
        if os.path.lexists(folder) and not folder.is_dir():
            raise NotWritten(f"{_shown(folder)} is no folder; write another name")
        exists = folder.is_dir()
        if not exists:
            folder.parent.mkdir(parents=True, exist_ok=True)
        stage = _beside(folder / "x" if exists else folder)
        stage.mkdir()
        try:
            for name, content in files.items():
                (stage / name).parent.mkdir(parents=True, exist_ok=True)
                _write(stage / name, content)
            for inner in [stage, *(path for path in stage.rglob("*") if path.is_dir())]:
                _sync_folder(inner)
            if check is not None:
                check(stage)
            if exists:
                _move_in(stage, folder, tops)
            else:
                stage.rename(folder)
                _sync_folder(folder.parent)
        finally:
            shutil.rmtree(stage, ignore_errors=True)


def refuse_if_there(folder: Path, names: Iterable[str]) -> None:
    """Looks before a folder is filled, so that nobody answers questions in vain.

    Raises:
        NotWritten: where any of the names is taken.
    """
    there = [name for name in names if os.path.lexists(folder / name)]
    if there:
        raise NotWritten(_there_already(folder, there, "write another folder"))


def _move_in(stage: Path, folder: Path, names: list[str]) -> None:
    moved: list[Path] = []
    try:
        for name in names:
            refuse_if_there(folder, [name])
            (stage / name).rename(folder / name)
            moved.append(folder / name)
        _sync_folder(folder)
    except BaseException:
        for path in reversed(moved):
            path.rename(stage / path.name)
        raise


@contextmanager
def _staged(path: Path, content: bytes) -> Iterator[Path]:
    """The content, synced, under another name beside its place; gone afterwards."""
    staged = _beside(path)
    with _refusals(path):
        try:
            _write(staged, content)
            yield staged
        finally:
            staged.unlink(missing_ok=True)


def _beside(path: Path) -> Path:
    return path.with_name(f".{path.name[:100]}.{secrets.token_hex(4)}.new")


def _write(path: Path, content: bytes) -> None:
    with path.open("xb") as file:
        file.write(content)
        file.flush()
        os.fsync(file.fileno())


def _name(staged: Path, path: Path) -> None:
    """Gives a staged file its name, which nothing may have taken meanwhile."""
    try:
        # Unlike a rename, a link never takes the place of what came in between.
        os.link(staged, path)
    except FileExistsError:
        raise NotWritten(_there_already(path, [path.name], "write another name")) from None
    except OSError:
        # A memory card's file system has no links: the name is taken first, then filled.
        path.open("xb").close()
        staged.replace(path)
    _sync_folder(path.parent)


def _sync_folder(folder: Path) -> None:
    if os.name == "nt":  # a folder cannot be opened there, and needs no sync
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


@contextmanager
def _refusals(path: Path) -> Iterator[None]:
    try:
        yield
    except OSError as error:
        reason = error.strerror or type(error).__name__
        if isinstance(error, FileNotFoundError):
            reason = f"there is no folder {_shown(path.parent)}"
        message = f"{_shown(path)} cannot be written ({reason}); nothing was"
        raise NotWritten(message) from error


def _there_already(path: Path, names: list[str], way_on: str) -> str:
    where = path if path.is_dir() else path.parent
    has = " and ".join(filter(None, [", ".join(names[:-1]), names[-1]]))
    return f"{_shown(where)} has {has} already, and nothing is written over; {way_on}"


def _shown(path: Path) -> str:
    return clean_message(str(path))
