"""A job folder is the old one or the new one, whatever happens, and what she put in it stays."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from prep import folder as folders
from prep.errors import OurFault, OutputError
from prep.folder import RECORD, repair_folder, write_folder

RECORDED = {"schema": "test"}


def names(folder: Path) -> list[str]:
    """List the files of a folder."""
    return sorted(p.relative_to(folder).as_posix() for p in folder.rglob("*") if p.is_file())


def test_writes_files_and_their_record(tmp_path: Path) -> None:
    """The record lists each file with its digest."""
    write_folder(tmp_path / "job", {"a.txt": b"a", "films/b.svg": b"b"}, RECORDED)
    assert names(tmp_path / "job") == ["a.txt", "films/b.svg", RECORD]
    record = json.loads((tmp_path / "job" / RECORD).read_text())
    assert record["schema"] == "test"
    assert [f["name"] for f in record["files"]] == ["a.txt", "films/b.svg"]
    assert os.listdir(tmp_path) == ["job"]


def test_replaces_a_former_job_and_keeps_her_files(tmp_path: Path) -> None:
    """Old files of ours go, hers stay, and ours that she changed are kept aside."""
    job = tmp_path / "job"
    write_folder(job, {"a.txt": b"a", "old.svg": b"1", "kept.svg": b"1"}, RECORDED)
    (job / "notes").mkdir()
    (job / "notes" / "ink.txt").write_text("two spoons")
    (job / "a.txt").write_text("changed by hand")
    write_folder(job, {"a.txt": b"new", "kept.svg": b"2"}, RECORDED)
    assert names(job) == ["a.txt", "edited-a.txt", RECORD, "kept.svg", "notes/ink.txt"]
    assert (job / "edited-a.txt").read_text() == "changed by hand"
    assert (job / "a.txt").read_bytes() == b"new"
    write_folder(job, {"a.txt": b"newer"}, RECORDED)
    assert (job / "edited-a.txt").read_text() == "changed by hand"


def test_her_file_under_a_name_of_ours_is_kept(tmp_path: Path) -> None:
    """A file of hers that a new file of ours would cover is kept as edited-NAME."""
    job = tmp_path / "job"
    write_folder(job, {"a.txt": b"a"}, RECORDED)
    (job / "film.svg").write_text("hers")
    write_folder(job, {"a.txt": b"a", "film.svg": b"ours"}, RECORDED)
    assert (job / "edited-film.svg").read_text() == "hers"
    assert (job / "film.svg").read_bytes() == b"ours"


def test_refuses_a_folder_that_is_not_ours(tmp_path: Path) -> None:
    """A folder without our record is left untouched."""
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "cat.png").write_bytes(b"cat")
    with pytest.raises(OutputError, match=r"photos: holds no job\.json of ours.*--out"):
        write_folder(tmp_path / "photos", {"a.txt": b"a"}, RECORDED)
    assert names(tmp_path / "photos") == ["cat.png"]
    assert os.listdir(tmp_path) == ["photos"]


def test_an_empty_folder_may_be_used(tmp_path: Path) -> None:
    """A folder made beforehand, with nothing in it, is taken."""
    (tmp_path / "job").mkdir()
    write_folder(tmp_path / "job", {"a.txt": b"a"}, RECORDED)
    assert names(tmp_path / "job") == ["a.txt", RECORD]


def test_a_file_in_the_way_is_said(tmp_path: Path) -> None:
    """A file of that name isn't touched."""
    (tmp_path / "job").write_text("x")
    with pytest.raises(OutputError, match="a file, not a folder"):
        write_folder(tmp_path / "job", {"a.txt": b"a"}, RECORDED)
    assert (tmp_path / "job").read_text() == "x"


def test_an_unwritable_place_is_said_in_one_line() -> None:
    """No traceback where nothing can be written."""
    with pytest.raises(OutputError, match="can't be written.*--out") as caught:
        write_folder(Path("/proc/nowhere/job"), {"a.txt": b"a"}, RECORDED)
    assert len(caught.value.lines()) == 1


@pytest.mark.parametrize("name", ["../a", "/a", "a\\b", "", RECORD, "x/../../a"])
def test_names_stay_inside(tmp_path: Path, name: str) -> None:
    """A plugin can't write outside the folder or over the record."""
    with pytest.raises(OurFault):
        write_folder(tmp_path / "job", {name: b"a"}, RECORDED)
    assert not (tmp_path / "job").exists()


def test_names_differ_where_case_is_ignored(tmp_path: Path) -> None:
    """Two films that one disk would store as one file are caught."""
    with pytest.raises(OurFault):
        write_folder(tmp_path / "job", {"A.svg": b"a", "a.svg": b"b"}, RECORDED)


def test_a_failure_half_way_leaves_the_old_job(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A full disk in the middle of writing changes nothing."""
    job = tmp_path / "job"
    write_folder(job, {"a.txt": b"old"}, RECORDED)

    def full(path: Path, data: bytes) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(folders, "_write", full)
    with pytest.raises(OutputError, match="No space left"):
        write_folder(job, {"a.txt": b"new"}, RECORDED)
    assert (job / "a.txt").read_bytes() == b"old"
    assert os.listdir(tmp_path) == ["job"]


def test_repairs_a_crash_between_the_two_renames(tmp_path: Path) -> None:
    """With the job renamed away, a finished new one is put in its place."""
    write_folder(tmp_path / "job", {"a.txt": b"old"}, RECORDED)
    write_folder(tmp_path / "next", {"a.txt": b"new"}, RECORDED)
    (tmp_path / "job").rename(tmp_path / "job.old-0123abcd")
    (tmp_path / "next").rename(tmp_path / "job.new-0123abcd")
    repair_folder(tmp_path / "job")
    assert os.listdir(tmp_path) == ["job"]
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"new"


def test_repairs_with_the_old_job_when_the_new_one_is_unfinished(tmp_path: Path) -> None:
    """A new folder without its record never finished; the old one comes back."""
    write_folder(tmp_path / "job", {"a.txt": b"old"}, RECORDED)
    (tmp_path / "job").rename(tmp_path / "job.old-0123abcd")
    (tmp_path / "job.new-0123abcd").mkdir()
    repair_folder(tmp_path / "job")
    assert os.listdir(tmp_path) == ["job"]
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"old"


def test_repair_touches_only_names_of_ours(tmp_path: Path) -> None:
    """A folder of hers that merely looks alike stays."""
    for name in ("job.new-ideas", "job.old", "job.new-0123abcd.bak"):
        (tmp_path / name).mkdir()
    repair_folder(tmp_path / "job")
    assert sorted(os.listdir(tmp_path)) == ["job.new-0123abcd.bak", "job.new-ideas", "job.old"]


def test_a_link_stands_for_the_folder_it_names(tmp_path: Path) -> None:
    """Written through a link twice, the link stays a link and the folder holds the job."""
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    for data in (b"one", b"two"):
        write_folder(tmp_path / "link", {"a.txt": data}, RECORDED)
    assert (tmp_path / "link").is_symlink()
    assert (tmp_path / "real" / "a.txt").read_bytes() == b"two"
    assert sorted(os.listdir(tmp_path)) == ["link", "real"]


def test_refuses_the_folder_of_another_job(tmp_path: Path) -> None:
    """One customer's films aren't replaced by another's because the folder's name was reused."""
    write_folder(tmp_path / "job", {"a.txt": b"a"}, {"name": "Fox club"})
    with pytest.raises(OutputError, match='holds the job "Fox club", not "Badge".*--out'):
        write_folder(tmp_path / "job", {"a.txt": b"b"}, {"name": "Badge"})
    assert (tmp_path / "job" / "a.txt").read_bytes() == b"a"


WRITER = """
import sys
from pathlib import Path
from prep.folder import write_folder
job = Path(sys.argv[1])
for turn in range(1000):
    data = str(turn).encode()
    write_folder(job, {f"{n}.txt": data for n in range(5)}, {"turn": turn, "name": "loop"})
    print(turn, flush=True)
"""


def test_killed_at_any_moment_leaves_one_whole_job(tmp_path: Path) -> None:
    """Ten kills during a loop of writes: after repair each file of the job is of the same turn."""
    job = tmp_path / "job"
    for kill in range(10):
        process = subprocess.Popen([sys.executable, "-c", WRITER, str(job)], stdout=subprocess.PIPE)
        assert process.stdout is not None
        acknowledged = int(process.stdout.readline())
        time.sleep(0.003 * kill)
        os.kill(process.pid, signal.SIGKILL)
        acknowledged = max([acknowledged, *map(int, process.stdout.read().split())])
        process.wait()
        process.stdout.close()
        repair_folder(job)
        turns = {(job / f"{n}.txt").read_text() for n in range(5)}
        assert turns == {str(json.loads((job / RECORD).read_text())["turn"])}
        assert int(turns.pop()) >= acknowledged
        assert os.listdir(tmp_path) == ["job"]
