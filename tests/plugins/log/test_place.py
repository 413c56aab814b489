"""Where the log lies."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from prep.errors import InputError, SettingsError
from prep.settings import load_shop
from prep_log import place, prep_settings
from prep_log.place import file_system, log_file, usual_file, warning
from prep_log.settings import LogShop

MOUNTS = (
    "/dev/sda1 / ext4 rw 0 0\n"
    "none /home/ann tmpfs rw 0 0\n"
    "shelf:/films /home/ann/films nfs4 rw 0 0\n"
    "desk:/ /mnt/our\\040shop fuse.desk rw 0 0\n"
    "/dev/sdb1 /media/stick fuseblk rw 0 0\n"
)


@pytest.mark.skipif(sys.platform == "win32", reason="XDG_DATA_HOME isn't known there")
def test_usually_in_the_users_data_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    assert log_file(None, {}) == usual_file() == tmp_path / "firstpull" / "log.sqlite"
    assert list(tmp_path.iterdir()) == []


def test_named_on_the_command_line_before_shop_toml(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    own = {"kept_in": str(tmp_path / "shop.sqlite")}
    assert log_file(None, own) == tmp_path / "shop.sqlite"
    assert log_file(Path("mine.sqlite"), own) == tmp_path / "mine.sqlite"
    with pytest.raises(InputError, match="is a folder; name the log's file in it"):
        log_file(tmp_path, own)


def test_in_shop_toml_by_its_whole_path(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("HOME", str(tmp_path))
    assert log_file(None, {"kept_in": "~/log.sqlite"}) == tmp_path / "log.sqlite"
    with pytest.raises(SettingsError, match="means another file in each folder"):
        log_file(None, {"kept_in": "log.sqlite"})
    shop = tmp_path / "shop.toml"
    shop.write_text('[log]\nkept_in = "~/log.sqlite"\n')
    tables = {"log": prep_settings()}
    assert load_shop(shop, tables).settings(LogShop).kept_in == "~/log.sqlite"
    shop.write_text('[log]\nkept_in = "log.sqlite"\n')
    with pytest.raises(SettingsError) as caught:
        load_shop(shop, tables)
    (line,) = caught.value.lines()
    assert 'log.kept_in = "log.sqlite": must be a whole path, or begin with ~/' in line


@pytest.mark.parametrize(
    ("path", "kind"),
    [
        ("/var/log.sqlite", "ext4"),
        ("/home/ann/log.sqlite", "tmpfs"),
        ("/home/anna/log.sqlite", "ext4"),
        ("/home/ann/films/log.sqlite", "nfs4"),
        ("/mnt/our shop/log.sqlite", "fuse.desk"),
        ("/media/stick/log.sqlite", "fuseblk"),
    ],
)
def test_the_file_system_a_path_lies_on(path: str, kind: str) -> None:
    assert file_system(MOUNTS, path) == kind


@pytest.mark.skipif(sys.platform == "win32", reason="no list of mounts there")
@pytest.mark.parametrize(
    ("kind", "warned"),
    [
        ("nfs4", True),
        ("cifs", True),
        ("smb3", True),
        ("fuse.desk", True),
        ("ext4", False),
        ("fuseblk", False),
        ("tmpfs", False),
    ],
)
def test_a_network_is_warned_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, kind: str, warned: bool
) -> None:
    mounts = tmp_path / "mounts"
    mounts.write_text(f"a / ext4 rw 0 0\nb {os.path.realpath(tmp_path)} {kind} rw 0 0\n")
    monkeypatch.setattr(place, "_MOUNTS", mounts)
    said = warning(tmp_path / "log.sqlite")
    assert bool(said) == warned
    if warned:
        assert f"type {kind}, over a network" in said
        assert "\n" not in said


def test_a_folder_that_looks_synced_is_warned_of(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place, "_MOUNTS", tmp_path / "none")
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    shared = tmp_path / "shared"
    file = shared / "shop" / "log.sqlite"
    file.parent.mkdir(parents=True)
    (tmp_path / ".sync").touch()  # a program's own settings, in the user's own folder
    assert warning(file) == ""
    (shared / ".sync").mkdir()
    assert f"{shared} looks synced with another machine (.sync in it)" in warning(file)
    (shared / ".sync").rmdir()
    (file.parent / "log (conflicted copy).sqlite").touch()
    assert "lies beside log (conflicted copy).sqlite" in warning(file)


def test_a_folder_marked_as_synced_by_its_attributes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(place, "_MOUNTS", tmp_path / "none")
    monkeypatch.setattr(place, "_attributes", lambda folder: ("user.sync.root",))
    assert "(user.sync.root in it)" in warning(tmp_path / "log.sqlite")
