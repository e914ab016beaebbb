"""What leaves the house: licences, the copy for a folder, and that the same clone gives the same bytes."""

from __future__ import annotations

import filecmp
import json
import re
import zipfile
from importlib import metadata
from pathlib import Path

import pytest

from calc.desk import archive, build, bundle, csp, licences, runtime, vendor


def test_every_part_of_others_has_its_licence_on_the_page(site: Path) -> None:
    html = (site / "licences.html").read_text("utf-8")
    parts = licences.shipped()
    assert len(parts) >= 15
    for part in parts:
        assert f"<summary>{part.name} {part.version}".rstrip() in html
        assert len(part.text) > 200, part.name


def test_no_wheel_of_the_browsers_python_is_without_a_licence() -> None:
    wheels = {member.name.split("-")[0] for member in runtime.pins().members if member.name.endswith(".whl")}
    assert wheels == set(licences.WHEELS)


def test_no_part_of_the_themes_scripts_is_without_a_licence() -> None:
    """The theme's source maps name the packages that its scripts were made of."""
    theme = Path(str(metadata.distribution("mkdocs-material").locate_file("material/templates")))
    maps = sorted((theme / "assets" / "javascripts").rglob("*.map"))
    assert maps
    for path in maps:
        sources = json.loads(path.read_text("utf-8"))["sources"]
        found = {name for source in sources for name in re.findall(r"node_modules/((?:@[^/]+/)?[^/]+)", source)}
        assert found | {"Material for MkDocs"} == set(licences.holds(path.relative_to(theme).as_posix()) or ())


def test_every_file_that_is_shipped_belongs_to_a_part_on_the_page(site: Path, folder: Path) -> None:
    held: set[str] = set()
    for place in (site, folder):
        for path in place.rglob("*"):
            if path.is_file():
                names = licences.holds(path.relative_to(place).as_posix())
                assert names is not None, path
                held.update(names)
    assert held == {part.name for part in licences.shipped()}


def test_an_english_site_ships_no_search_of_other_languages(site: Path, folder: Path) -> None:
    for place in (site, folder):
        assert not (place / "assets/javascripts/lunr").exists()


def test_a_file_of_nobody_ends_the_build(tmp_path: Path) -> None:
    (tmp_path / "index.html").touch()
    licences.verify(tmp_path)
    (tmp_path / "assets").mkdir()
    (tmp_path / "assets" / "more.js").touch()
    with pytest.raises(licences.LicenceError, match=r"^Nothing says whose assets/more\.js is: leave out what"):
        licences.verify(tmp_path)


def test_the_copy_for_a_folder_holds_only_what_a_folder_can_use(site: Path, folder: Path) -> None:
    names = {path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file()}
    assert not [name for name in names if bundle.hosted_only(name) or name.startswith("downloads/")]
    assert {"index.html", "assets/calc/handbook.js", "assets/calc/offline.js", "search/search_index.js"} <= names
    here = {path.relative_to(site).as_posix() for path in site.rglob("*.html")} - {"404.html"}
    assert here == {name for name in names if name.endswith(".html")}
    for name in here:
        html = (folder / name).read_text("utf-8")
        assert "data-hosted" not in html, name
        # An element goes whole: a link that stayed behind would lead to a file that the folder does not hold.
        assert "downloads/" not in html, name


def test_what_only_a_host_can_use_goes_whole() -> None:
    html = (
        "<ul>\n<li>stays</li>\n"
        '  <li data-hosted><a href="downloads/x.zip">zip</a></li>\n'
        "  <li data-hosted data-keep hidden><button>Keep</button> <span></span></li>\n</ul>\n"
        '<link data-hosted rel="manifest" href="m">\n<p data-hosted>host</p><p>stays</p>'
    )
    assert archive.HOSTED_ONLY.sub("", html) == "<ul>\n<li>stays</li>\n</ul>\n<p>stays</p>"


def test_the_zip_on_the_site_is_that_folder(site: Path, folder: Path, tmp_path: Path) -> None:
    assert build.packed(site) == build.packed(folder) == site / build.ZIP
    with zipfile.ZipFile(site / build.ZIP) as packed:
        packed.extractall(tmp_path)
        assert {entry.date_time for entry in packed.infolist()} == {archive.MOMENT}
    difference = filecmp.dircmp(folder, tmp_path / archive.TOP)
    assert (difference.left_only, difference.right_only, difference.diff_files) == ([], [], [])
    archive.pack(folder, tmp_path / "again.zip")
    assert (tmp_path / "again.zip").read_bytes() == (site / build.ZIP).read_bytes()


def test_an_empty_folder_is_not_packed(tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    with pytest.raises(archive.ArchiveError, match=r"is empty: there is nothing to pack\.$"):
        archive.pack(tmp_path / "empty", tmp_path / "a.zip")


def test_two_builds_of_the_pages_are_the_same_bytes(tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    for target in (first, second):
        build._run_mkdocs(target)
    names = sorted(path.relative_to(first).as_posix() for path in first.rglob("*") if path.is_file())
    assert names == sorted(path.relative_to(second).as_posix() for path in second.rglob("*") if path.is_file())
    _, differing, failed = filecmp.cmpfiles(first, second, names, shallow=False)
    assert (differing, failed) == ([], [])
    assert not [name for name in names if name.startswith("sitemap")]


def test_the_searchs_stand_in_writes_the_script_that_the_policy_allows() -> None:
    script = vendor.frame_script()
    assert script.startswith("postMessage=function c(")
    assert "file:" not in script
    assert csp.source_hash(script) in archive.page(f"<html><head>{csp.MARK}</head></html>")
    assert "${e}?" in vendor.search_shim()


def test_a_changed_stand_in_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(vendor, "FITTED", (("no such text", ""),))
    with pytest.raises(vendor.VendorError, match=r"^iframe-worker no longer contains 'no such text'"):
        vendor.search_shim()
