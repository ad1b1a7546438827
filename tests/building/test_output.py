"""What a publication writes, what it leaves alone, and what it refuses before it writes anything."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from sitegen.building.contract import load_schema
from sitegen.building.digests import digest_of
from sitegen.building.publication import (
    MANIFEST,
    Contents,
    Published,
    SiteManifest,
    exchange,
    hold_output,
    output,
    staging,
    trees,
)
from sitegen.errors import ContentError
from tests.building.killing import faults_of, lies_in

SITE: dict[str, Contents] = {"index.html": b"welcome", "pieces/march/index.html": b"march", "pieces/a.svg": b"a"}


def publish(root: Path, site: Mapping[str, Contents] = SITE) -> Published:
    with hold_output(root / "site", root / "content") as held:
        return held.publish(site)


def looks(folder: Path) -> dict[str, tuple[int, int, int]]:
    """Each file with its number, size and time: what a write would change."""
    seen = {place: place.lstat() for place in (folder, *folder.rglob("*"))}
    return {str(place): (look.st_ino, look.st_size, look.st_mtime_ns) for place, look in seen.items()}


def test_manifest_lists_every_file_and_agrees_with_its_schema(tmp_path: Path) -> None:
    publish(tmp_path)
    data = json.loads((tmp_path / "site" / MANIFEST).read_bytes())
    Draft202012Validator(load_schema("manifest")).validate(data)
    assert list(data["files"]) == sorted(SITE)
    assert data["files"]["index.html"] == {"sha256": digest_of(b"welcome"), "size": 7}
    wrong = data | {"files": {"../index.html": data["files"]["index.html"]}}
    assert not Draft202012Validator(load_schema("manifest")).is_valid(wrong)


def test_nothing_is_written_where_nothing_differs(tmp_path: Path) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "CNAME").write_text("piano.example")
    before = looks(tmp_path / "site")
    published = publish(tmp_path)
    assert (published.written, published.removed) == ((), ())
    assert looks(tmp_path / "site") == before


def test_only_what_differs_is_written(tmp_path: Path) -> None:
    publish(tmp_path)
    before = looks(tmp_path / "site")
    changed = {"index.html": b"hello", "pieces/a.svg": b"a", "pieces/b.svg": b"b"}
    published = publish(tmp_path, changed)
    assert published.written == ("index.html", "pieces/b.svg")
    assert published.removed == ("pieces/march/index.html",)
    drawing = str(tmp_path / "site" / "pieces" / "a.svg")
    assert looks(tmp_path / "site")[drawing] == before[drawing]
    assert not (tmp_path / "site" / "pieces" / "march").exists()


def test_contents_may_be_given_by_their_digest_and_are_read_only_where_they_do_not_stand(tmp_path: Path) -> None:
    publish(tmp_path)
    kept = {digest_of(b"new"): b"new"}
    asked = []

    def read(digest: str) -> bytes:
        asked.append(digest)
        return kept[digest]

    by_digest = {path: digest_of(data) for path, data in SITE.items() if isinstance(data, bytes)}
    with hold_output(tmp_path / "site", tmp_path / "content") as held:
        assert held.publish(by_digest, read).written == ()
        assert asked == []
        published = held.publish(by_digest | {"new.html": digest_of(b"new")}, read)
    assert published.written == ("new.html",)
    assert set(asked) == {digest_of(b"new")}
    assert lies_in(tmp_path / "site")["new.html"] == b"new"


def test_lost_file_is_written_again(tmp_path: Path) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "pieces" / "a.svg").unlink()
    assert publish(tmp_path).written == ("pieces/a.svg",)


def test_stamps_of_a_publication_save_the_next_one_the_reading(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    stamps = publish(tmp_path).stamps
    assert stamps.keys() == {*SITE, MANIFEST}

    def never(file: object) -> str:
        raise AssertionError(file)

    monkeypatch.setattr("sitegen.building.publication.standing.digest_of_file", never)
    with hold_output(tmp_path / "site", tmp_path / "content", known=stamps) as held:
        published = held.publish({**SITE, "index.html": b"hello"})
    assert published.written == ("index.html",)
    with hold_output(tmp_path / "site", tmp_path / "content", known=published.stamps) as held:
        assert held.publish({**SITE, "index.html": b"hello"}).written == ()


def test_what_no_build_put_there_stays_with_its_rights(tmp_path: Path) -> None:
    publish(tmp_path)
    site = tmp_path / "site"
    (site / ".git" / "empty").mkdir(parents=True)
    (site / ".git" / "HEAD").write_text("ref")
    (site / ".git" / "HEAD").chmod(0o640)
    (site / ".git").chmod(0o700)
    (site / "pieces" / "march" / "mine.html").write_text("mine")
    (site / "away").symlink_to("/nowhere")
    site.chmod(0o711)
    publish(tmp_path, {"index.html": b"hello"})
    assert (site / ".git" / "empty").is_dir()
    assert [place.stat().st_mode & 0o777 for place in (site / ".git" / "HEAD", site / ".git", site)] == [
        0o640, 0o700, 0o711,
    ]  # fmt: skip
    assert os.readlink(site / "away") == "/nowhere"
    assert lies_in(site).keys() == {"index.html", MANIFEST, ".git/HEAD", "pieces/march/mine.html", "away"}


@pytest.mark.parametrize("damage", [b"", b"my own welcome"])
def test_page_that_somebody_changed_is_named_and_nothing_is_written(tmp_path: Path, damage: bytes) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "index.html").write_bytes(damage)
    before = looks(tmp_path)
    with pytest.raises(ContentError, match=r"site/index\.html: stands where a page must go") as raised:
        publish(tmp_path, {**SITE, "index.html": b"hello", "new.html": b"new"})
    assert "\n" not in str(raised.value)
    assert {place: look for place, look in looks(tmp_path).items() if place != str(tmp_path)} == {
        place: look for place, look in before.items() if place != str(tmp_path)
    }


def test_page_that_somebody_changed_and_that_goes_stays(tmp_path: Path) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "pieces" / "a.svg").write_bytes(b"drawn by hand")
    publish(tmp_path, {"index.html": b"welcome"})
    assert lies_in(tmp_path / "site")["pieces/a.svg"] == b"drawn by hand"
    publish(tmp_path, {"index.html": b"hello"})
    assert lies_in(tmp_path / "site")["pieces/a.svg"] == b"drawn by hand"


@pytest.mark.parametrize(
    ("theirs", "wanted"),
    [("new.html", "new.html"), ("new", "new/index.html"), ("new.html/notes.txt", "new.html"),
     ("pieces/new/a.txt", "pieces/new")],
)  # fmt: skip
def test_what_stands_in_the_way_is_named(tmp_path: Path, theirs: str, wanted: str) -> None:
    publish(tmp_path)
    place = tmp_path / "site" / theirs
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_text("mine")
    with pytest.raises(ContentError, match=r"stands where a page must go.*Move it away"):
        publish(tmp_path, {**SITE, wanted: b"a page"})
    assert place.read_text() == "mine"


def test_link_in_the_place_of_a_folder_is_not_followed(tmp_path: Path) -> None:
    publish(tmp_path, {"index.html": b""})
    (tmp_path / "elsewhere").mkdir()
    (tmp_path / "site" / "pieces").symlink_to(tmp_path / "elsewhere")
    with pytest.raises(ContentError, match="site/pieces: stands where a page must go"):
        publish(tmp_path)
    assert os.listdir(tmp_path / "elsewhere") == []


def test_same_bytes_are_in_nobodys_way(tmp_path: Path) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "new.html").write_bytes(b"new")
    assert publish(tmp_path, {**SITE, "new.html": b"new"}).written == ()
    assert faults_of(tmp_path / "site", [{**SITE, "new.html": b"new"}], {}) == []  # type: ignore[list-item]


def test_file_and_folder_change_places(tmp_path: Path) -> None:
    publish(tmp_path, {"a/b.html": b"1", "c": b"2"})
    publish(tmp_path, {"a": b"3", "c/d.html": b"4"})
    assert faults_of(tmp_path / "site", [{"a": b"3", "c/d.html": b"4"}], {}) == []


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (lambda root: (root / "site").write_text(""), "is not a folder"),
        (lambda root: ((root / "site").mkdir(), (root / "site" / "thesis.txt").write_text("")), "holds 'thesis.txt'"),
        (lambda root: ((root / "site").mkdir(), (root / "site" / "site.json").write_text("{}")), "holds 'site.json'"),
        (lambda root: ((root / "site").mkdir(), (root / "site" / MANIFEST).write_text("[]")), "holds 'manifest.json'"),
        (lambda root: ((root / ".site.next").mkdir(), (root / ".site.next" / "mine").write_text("")), "none of ours"),
        (lambda root: ((root / ".site.next" / "site").mkdir(parents=True)), "none of ours"),
        (lambda root: (root / ".site.next").write_text("mine"), "none of ours"),
        (lambda root: ((root / "mine").mkdir(), (root / ".site.next").symlink_to(root / "mine")), "none of ours"),
    ],
)  # fmt: skip
def test_what_is_no_place_for_a_site_is_refused_before_anything_is_made(
    tmp_path: Path, make: object, what: str
) -> None:
    make(tmp_path)  # type: ignore[operator]
    before = looks(tmp_path)
    with pytest.raises(ContentError, match=what):
        publish(tmp_path)
    assert looks(tmp_path) == before


def test_content_and_output_lie_apart(tmp_path: Path) -> None:
    (tmp_path / "a" / "b").mkdir(parents=True)
    for site, content in ((".", "a"), ("a", "a"), ("a/b", "a"), ("a", "a/b")):
        with pytest.raises(ContentError, match="the content folder"), hold_output(tmp_path / site, tmp_path / content):
            pass
    with pytest.raises(ContentError, match="cannot be the place"), hold_output(Path("/"), tmp_path):
        pass
    assert os.listdir(tmp_path) == ["a"]


def test_folder_under_version_control_may_be_a_first_site(tmp_path: Path) -> None:
    (tmp_path / "site" / ".git").mkdir(parents=True)
    (tmp_path / "site" / ".gitkeep").write_text("")
    publish(tmp_path)
    assert lies_in(tmp_path / "site").keys() == {*SITE, MANIFEST, ".gitkeep"}
    assert (tmp_path / "site" / ".git").is_dir()


@pytest.mark.parametrize("after", [False, True], ids=["before the exchange", "after it"])
def test_what_others_do_meanwhile_is_brought_over(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, after: bool) -> None:
    """Somebody whose shell stands in the folder of the site writes, replaces and removes files of his own there."""
    publish(tmp_path)
    site = tmp_path / "site"
    for name in ("replaced", "removed", "edited", "kept"):
        (site / name).write_text("first")
    (site / "gone").mkdir()
    (site / "gone" / "file").write_text("first")
    standing_there = os.open(site, os.O_RDONLY)

    def meddle() -> None:
        def write(name: str) -> None:
            with open(os.open(name, os.O_WRONLY | os.O_CREAT, dir_fd=standing_there), "w") as file:
                file.write("second")

        write("beside")
        os.rename("beside", "replaced", src_dir_fd=standing_there, dst_dir_fd=standing_there)
        write("edited")
        write("made")
        os.unlink("removed", dir_fd=standing_there)
        os.unlink("gone/file", dir_fd=standing_there)
        os.rmdir("gone", dir_fd=standing_there)

    put_in_place = output.put_in_place

    def meanwhile(*given: Path) -> Path | None:
        if not after:
            meddle()
        old = put_in_place(*given)
        if after:
            meddle()
        return old

    monkeypatch.setattr(output, "put_in_place", meanwhile)
    publish(tmp_path, {"index.html": b"hello"})
    foreign = {"replaced": b"second", "made": b"second", "edited": b"second", "kept": b"first"}
    assert faults_of(site, [{"index.html": b"hello"}], foreign) == []
    assert not (site / "gone").exists()
    assert os.listdir(tmp_path) == ["site"]
    os.close(standing_there)


def test_disk_that_is_full_leaves_the_old_site_and_nothing_besides(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(tmp_path)
    before = looks(tmp_path / "site")

    def full_disk(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(staging, "_make_folders", full_disk)
    with pytest.raises(OSError, match="No space"):
        publish(tmp_path, {"pieces/index.html": b"hello"})
    assert looks(tmp_path / "site") == before
    assert os.listdir(tmp_path) == ["site"]


_SLOWLY = """
import sys, time
from pathlib import Path
from sitegen.building.publication import hold_output
root, word = Path(sys.argv[1]), sys.argv[2]
with hold_output(root / "site", root / "content", lambda: print("waits", flush=True)) as held:
    print("holds", flush=True)
    sys.stdin.readline()
    held.publish({f"{n}.html": word.encode() for n in range(50)})
"""


def _start(root: Path, word: str) -> subprocess.Popen[str]:
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])}
    return subprocess.Popen(
        [sys.executable, "-c", _SLOWLY, root, word], stdin=-1, stdout=-1, text=True, env=environment
    )


def test_second_build_waits_for_the_first_and_says_so(tmp_path: Path) -> None:
    first = _start(tmp_path, "first")
    assert first.stdout is not None
    assert first.stdout.readline() == "holds\n"
    second = _start(tmp_path, "second")
    assert second.stdout is not None
    assert second.stdout.readline() == "waits\n"
    first.communicate("\n")
    assert second.stdout.readline() == "holds\n"
    assert faults_of(tmp_path / "site", [{f"{n}.html": b"first" for n in range(50)}], {}) == []
    second.communicate("\n")
    assert (first.returncode, second.returncode) == (0, 0)
    assert faults_of(tmp_path / "site", [{f"{n}.html": b"second" for n in range(50)}], {}) == []
    assert os.listdir(tmp_path) == ["site"]


def test_dead_build_holds_nothing(tmp_path: Path) -> None:
    dead = _start(tmp_path, "dead")
    assert dead.stdout is not None
    assert dead.stdout.readline() == "holds\n"
    dead.kill()
    dead.communicate()
    assert os.listdir(tmp_path) == [".site.next"]
    with hold_output(tmp_path / "site", tmp_path / "content", lambda: pytest.fail("waited")) as held:
        held.publish(SITE)
    assert os.listdir(tmp_path) == ["site"]


def test_rename_that_fails_puts_the_old_site_back(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system cannot exchange folders, and refuses the second of the two renames."""
    monkeypatch.setattr(exchange, "_renameat2", lambda: None)
    publish(tmp_path)
    before = looks(tmp_path / "site")
    rename = Path.rename

    def refused(self: Path, target: Path) -> Path:
        if self.parent.name == ".site.next" and self.name == "site":
            raise OSError(13, "Permission denied")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", refused)
    with pytest.raises(OSError, match="Permission denied"):
        publish(tmp_path, {"index.html": b"hello"})
    assert looks(tmp_path / "site") == before
    assert os.listdir(tmp_path) == ["site"]


def test_first_site_that_another_build_puts_there_meanwhile_is_one_of_ours(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The other one ends between the looks that this one takes before it waits for its turn."""
    publish(tmp_path)
    (tmp_path / "site").rename(tmp_path / "made")
    read = output.read_manifest

    def meanwhile(folder: Path) -> SiteManifest | None:
        found = read(folder)
        if (tmp_path / "made").exists():
            (tmp_path / "made").rename(folder)
        return found

    monkeypatch.setattr(output, "read_manifest", meanwhile)
    assert publish(tmp_path).written == ()
    assert faults_of(tmp_path / "site", [SITE], {}) == []  # type: ignore[list-item]


@pytest.mark.parametrize("mounted", ["photos", "photos/one.jpg", "."])
def test_what_is_mounted_in_a_site_is_not_touched(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, mounted: str
) -> None:
    """Linux mounts folders and files of the same file system, too, which look like any others."""
    publish(tmp_path)
    (tmp_path / "site" / "photos").mkdir()
    (tmp_path / "site" / "photos" / "one.jpg").write_bytes(b"mine")
    place = os.path.normpath(tmp_path / "site" / mounted).replace("\\", r"\134").replace(" ", r"\040")
    (tmp_path / "mountinfo").write_text(f"22 1 8:1 / / rw - ext4 /dev/a rw\n99 22 8:1 /a {place} rw - ext4 /dev/a rw\n")
    monkeypatch.setattr(trees, "_MOUNTED", tmp_path / "mountinfo")
    before = looks(tmp_path / "site")
    with pytest.raises(ContentError, match=r"is a file system of its own|cannot be the place of a site"):
        publish(tmp_path, {"index.html": b"hello"})
    assert looks(tmp_path / "site") == before
    assert os.listdir(tmp_path / "site" / "photos") == ["one.jpg"]
    assert not (tmp_path / ".site.next").exists()


def test_mount_points_have_any_sign_in_their_names(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "mountinfo").write_bytes(b"1 1 8:1 / /a\\040b\\134 rw - ext4 /dev/a rw\n2 1 8:1 / /\xe9 rw - x y z\n")
    monkeypatch.setattr(trees, "_MOUNTED", tmp_path / "mountinfo")
    assert trees.mount_points() == {"/a b\\", os.fsdecode(b"/\xe9")}
    monkeypatch.setattr(trees, "_MOUNTED", tmp_path / "none")
    assert trees.mount_points() == frozenset()


def test_home_is_no_place_for_a_site(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / ".gitconfig").write_text("mine")
    with pytest.raises(ContentError, match=r"holds '\.gitconfig'"):
        publish(tmp_path)
    (tmp_path / "site" / ".gitconfig").unlink()
    monkeypatch.setenv("HOME", str(tmp_path / "site"))
    monkeypatch.setenv("USERPROFILE", str(tmp_path / "site"))
    with pytest.raises(ContentError, match="cannot be the place of a site"):
        publish(tmp_path)
    assert os.listdir(tmp_path / "site") == []


def test_links_to_the_place_of_a_site_are_followed_and_stay(tmp_path: Path) -> None:
    links = {"link": "site", "round": "round"}
    for name, goal in links.items():
        (tmp_path / name).symlink_to(goal)
    for _ in range(2):
        with hold_output(tmp_path / "link", tmp_path / "content") as held:
            held.publish(SITE)
    assert lies_in(tmp_path / "site").keys() == {*SITE, MANIFEST}
    with pytest.raises(ContentError, match="is a link that leads nowhere"), hold_output(tmp_path / "round", tmp_path):
        pass
    assert {name: os.readlink(tmp_path / name) for name in links} == links


def test_content_and_output_lie_apart_through_links_too(tmp_path: Path) -> None:
    publish(tmp_path)
    (tmp_path / "site" / "sources").mkdir()
    (tmp_path / "content").symlink_to(tmp_path / "site" / "sources")
    (tmp_path / "around").symlink_to(tmp_path)
    before = looks(tmp_path)
    for site, content in (("site", "content"), ("around/site", "content"), ("site", "around"), ("around", "content")):
        with pytest.raises(ContentError, match="the content folder"), hold_output(tmp_path / site, tmp_path / content):
            pass
    assert looks(tmp_path) == before


@pytest.mark.parametrize(
    "path",
    ["../mine", "a/../../mine", "/mine", "./mine", "a//mine", "..\\mine", "a\\..\\..\\mine", "x/" * 3000 + "y", ""],
    ids=range(9),
)  # fmt: skip
def test_manifest_that_leads_elsewhere_is_none_of_ours(tmp_path: Path, path: str) -> None:
    (tmp_path / "site").mkdir()
    listed = {"sha256": digest_of(b"mine"), "size": 4}
    text = json.dumps({"contract": 1, "files": {path: listed}})
    (tmp_path / "site" / MANIFEST).write_text(text)
    (tmp_path / "mine").write_bytes(b"mine")
    with pytest.raises(ContentError, match=r"holds 'manifest\.json'"):
        publish(tmp_path)
    assert lies_in(tmp_path) == {"mine": b"mine", f"site/{MANIFEST}": text.encode()}


def test_manifest_through_a_link_reaches_nothing(tmp_path: Path) -> None:
    """Neither one that is a link itself, nor one that lists what lies behind a link."""
    publish(tmp_path)
    site = tmp_path / "site"
    (tmp_path / "theirs").mkdir()
    (tmp_path / "theirs" / "mine").write_bytes(b"mine")
    (site / "away").symlink_to(tmp_path / "theirs")
    manifest = json.loads((site / MANIFEST).read_bytes())
    manifest["files"]["away/mine"] = {"sha256": digest_of(b"mine"), "size": 4}
    (site / MANIFEST).write_text(json.dumps(manifest))
    publish(tmp_path)
    assert (tmp_path / "theirs" / "mine").read_bytes() == b"mine"
    assert os.readlink(site / "away") == str(tmp_path / "theirs")
    (site / MANIFEST).rename(tmp_path / "kept.json")
    (site / MANIFEST).symlink_to(tmp_path / "kept.json")
    with pytest.raises(ContentError, match="is no site of ours"):
        publish(tmp_path)
    assert (site / MANIFEST).is_symlink()


def test_git_that_is_a_file_and_a_pipe_stay(tmp_path: Path) -> None:
    """``.git`` is a file in a working tree beside the first, and in a submodule."""
    publish(tmp_path)
    site = tmp_path / "site"
    (site / ".git").write_text("gitdir: ../first/.git/worktrees/site")
    os.mkfifo(site / "pipe")
    for name in ("CNAME", ".nojekyll"):
        (site / name).write_text(name)
    before = looks(site)
    publish(tmp_path, {"index.html": b"hello"})
    own = [str(site / name) for name in (".git", "pipe", "CNAME", ".nojekyll")]
    assert {name: looks(site)[name] for name in own} == {name: before[name] for name in own}
