"""A file or a folder is written whole or not at all, and never over what is there."""

import errno
import os
import stat
from pathlib import Path

import pytest

from kitprep.files import NotWritten, replace, write_folder, write_new

FILES = {"tables/cells.toml": b"cells", "kit.toml": b"kit", "day-01.toml": b"day"}


def everything(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes() if path.is_file() else b"/"
        for path in folder.rglob("*")
    }


def full_at(monkeypatch: pytest.MonkeyPatch, step: int) -> None:
    """The disk is full at the so-manieth thing that is to reach it."""
    real, left = os.fsync, [step]

    def fsync(descriptor: int) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", fsync)


def test_a_new_file_holds_what_was_given(tmp_path: Path) -> None:
    write_new(tmp_path / "a.toml", b"text")
    assert everything(tmp_path) == {"a.toml": b"text"}


def test_a_new_file_has_the_mode_of_any_other(tmp_path: Path) -> None:
    (tmp_path / "other").write_bytes(b"")
    write_new(tmp_path / "a.toml", b"text")
    assert stat.S_IMODE((tmp_path / "a.toml").stat().st_mode) == stat.S_IMODE(
        (tmp_path / "other").stat().st_mode
    )


@pytest.mark.parametrize("what", ["file", "folder", "link to nowhere"])
def test_a_name_that_is_taken_stays_as_it_is(tmp_path: Path, what: str) -> None:
    path = tmp_path / "a.toml"
    if what == "file":
        path.write_bytes(b"mine")
    elif what == "folder":
        path.mkdir()
    else:
        path.symlink_to(tmp_path / "nowhere")
    with pytest.raises(NotWritten, match=r"has a\.toml already, and nothing is written over"):
        write_new(path, b"text")
    assert len(list(tmp_path.iterdir())) == 1
    assert not path.is_file() or path.read_bytes() == b"mine"


def test_a_name_that_is_taken_meanwhile_stays_as_it_is(tmp_path: Path) -> None:
    path = tmp_path / "a.toml"
    with pytest.raises(NotWritten, match="already"):
        write_new(path, b"text", check=lambda staged: path.write_bytes(b"mine"))
    assert everything(tmp_path) == {"a.toml": b"mine"}


def test_a_disk_without_links_takes_new_files_too(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def link(*_: object) -> None:
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(os, "link", link)
    write_new(tmp_path / "a.toml", b"text")
    assert everything(tmp_path) == {"a.toml": b"text"}


def test_what_does_not_pass_its_check_never_gets_its_name(tmp_path: Path) -> None:
    def check(staged: Path) -> None:
        raise ValueError(staged.read_text())

    with pytest.raises(ValueError, match="text"):
        write_new(tmp_path / "a.toml", b"text", check)
    assert everything(tmp_path) == {}


def test_a_full_disk_leaves_the_file_of_before(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "a.toml"
    path.write_bytes(b"before")
    full_at(monkeypatch, 0)
    with pytest.raises(NotWritten, match=r"cannot be written \(No space left on device\)"):
        replace(path, b"after")
    assert everything(tmp_path) == {"a.toml": b"before"}


def test_a_file_behind_a_link_is_replaced_and_the_link_stays(tmp_path: Path) -> None:
    (tmp_path / "real").write_bytes(b"before")
    (tmp_path / "link").symlink_to("real")
    replace(tmp_path / "link", b"after")
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real").read_bytes() == b"after"


def test_a_replaced_file_keeps_its_mode(tmp_path: Path) -> None:
    path = tmp_path / "a"
    path.write_bytes(b"before")
    path.chmod(0o600)
    replace(path, b"after")
    assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_folder_is_no_file_to_replace(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match="is no file; write the name of a file"):
        replace(tmp_path, b"text")


def test_a_missing_folder_is_named(tmp_path: Path) -> None:
    with pytest.raises(NotWritten, match=f"there is no folder {tmp_path / 'no'}"):
        write_new(tmp_path / "no" / "a.toml", b"text")


@pytest.mark.parametrize("there", [False, True], ids=["new folder", "folder that is there"])
def test_a_folder_gets_all_its_files(tmp_path: Path, there: bool) -> None:
    folder = tmp_path / "jobs" / "one"
    if there:
        folder.mkdir(parents=True)
        (folder / "call-sheet.pdf").write_bytes(b"mine")
    write_folder(folder, FILES)
    kept = {"call-sheet.pdf": b"mine"} if there else {}
    assert everything(folder) == {**FILES, "tables": b"/", **kept}
    assert [path.name for path in folder.parent.iterdir()] == ["one"]


def test_a_folder_with_any_of_the_files_is_left_alone_and_they_are_named(tmp_path: Path) -> None:
    (tmp_path / "kit.toml").write_bytes(b"mine")
    (tmp_path / "tables").mkdir()
    with pytest.raises(NotWritten, match=r"has tables and kit\.toml already"):
        write_folder(tmp_path, FILES)
    assert everything(tmp_path) == {"kit.toml": b"mine", "tables": b"/"}


@pytest.mark.parametrize("step", range(7))
@pytest.mark.parametrize("there", [False, True], ids=["new folder", "folder that is there"])
def test_a_full_disk_leaves_no_part_of_a_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: int, there: bool
) -> None:
    folder = tmp_path / "job"
    if there:
        folder.mkdir()
        (folder / "mine").write_bytes(b"mine")
    # Three files, two folders, and the folder above or the one that they were moved into: six
    # things are synced, so that from the seventh step on it succeeds.
    full_at(monkeypatch, step)
    if step == 6:
        write_folder(folder, FILES)
        return
    before = everything(tmp_path)
    try:
        write_folder(folder, FILES)
    except NotWritten:
        left = everything(tmp_path)
        # Once the folder has its name all is in it, though its name may not be on the disk yet.
        assert left == before or (not there and step == 5)


def test_a_file_is_no_folder_to_fill(tmp_path: Path) -> None:
    (tmp_path / "job").write_bytes(b"mine")
    with pytest.raises(NotWritten, match="is no folder; write another name"):
        write_folder(tmp_path / "job", FILES)
    assert everything(tmp_path) == {"job": b"mine"}


def test_names_that_would_steer_a_terminal_are_shown_without() -> None:
    with pytest.raises(NotWritten) as refused:
        write_new(Path("/no/\x1b[2J"), b"")
    assert "\x1b" not in str(refused.value)
