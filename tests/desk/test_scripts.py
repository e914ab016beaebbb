"""The scripts: typed, bundled into one classic script, and nothing in them that leaves the site."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from calc.desk import bundle, bytecode, npm
from calc.desk.places import SOURCES

STRICT = (
    "--noEmit", "--allowJs", "--checkJs", "--strict", "--noUnusedLocals", "--noImplicitReturns",
    "--target", "es2024", "--module", "esnext", "--moduleResolution", "bundler",
)  # fmt: skip
PAGES = ("handbook.js", "kept.js")
HOMES = {
    "page": ("es2024,dom,dom.iterable", PAGES),
    "worker": ("es2024,webworker,webworker.iterable,webworker.asynciterable", ("worker.js", "service-worker.js")),
}


@pytest.fixture(scope="module")
def prepared() -> Path:
    return bytecode.prepare()


@pytest.fixture(scope="module")
def files(prepared: Path) -> dict[str, bundle.Content]:
    return bundle.files(prepared=prepared)


def checked(home: str, *more: str) -> str:
    library, entries = HOMES[home]
    paths = [str(SOURCES / "ambient.d.ts"), *(str(SOURCES / entry) for entry in entries), *more]
    return npm.script("typescript", "bin/tsc", *STRICT, "--lib", library, *paths)


@pytest.mark.parametrize("home", HOMES)
def test_types_are_right(home: str) -> None:
    assert checked(home) == ""


def test_the_type_check_sees_a_wrong_type(tmp_path: Path) -> None:
    wrong = tmp_path / "wrong.js"
    wrong.write_text("// @ts-check\n/** @type {number} */\nexport const count = 'three';\n", "utf-8")
    with pytest.raises(npm.NpmError, match="TS2322"):
        checked("page", str(wrong))


def test_every_script_is_checked_and_reached() -> None:
    """A module that nothing imports would be neither typed nor shipped."""
    reached: set[str] = set()
    waiting = [entry for _, entries in HOMES.values() for entry in entries]
    while waiting:
        name = waiting.pop()
        if name in reached:
            continue
        reached.add(name)
        text = (SOURCES / name).read_text("utf-8")
        assert text.startswith("// @ts-check\n"), name
        waiting += re.findall(r'from "\./([\w-]+\.js)"', text)
    assert reached == {path.name for path in SOURCES.glob("*.js")}


def test_page_worker_and_runtime_belong_to_one_build(files: dict[str, bundle.Content], prepared: Path) -> None:
    build = bundle.build_hash(prepared)
    for name in (*PAGES, "worker.js"):
        path = files[f"assets/calc/{name}"]
        assert isinstance(path, Path)
        assert build in path.read_text("utf-8")
    manifest = json.loads((prepared / "runtime.json").read_text("utf-8"))
    worker = files["assets/calc/worker.js"]
    assert isinstance(worker, Path)
    assert all(told["sha256"] in worker.read_text("utf-8") for told in manifest["files"].values())


@pytest.mark.parametrize("name", PAGES)
def test_the_page_script_is_classic(files: dict[str, bundle.Content], name: str) -> None:
    page = files[f"assets/calc/{name}"]
    assert isinstance(page, Path)
    text = page.read_text("utf-8")
    assert not re.search(r"^\s*(import|export)\b", text, re.M)
    assert "import.meta" not in text


def test_no_script_names_another_site(files: dict[str, bundle.Content]) -> None:
    """One invented name is answered inside the worker; names of vocabularies are not addresses."""
    allowed = {"runtime.invalid", "www.w3.org"}
    for address, content in files.items():
        if address.startswith("assets/calc/") and address.endswith(".js") and isinstance(content, Path):
            named = set(re.findall(r"https?://([\w.-]+)", content.read_text("utf-8")))
            assert named <= allowed, address


def test_a_copy_for_a_folder_holds_the_same_bytes_in_scripts(prepared: Path) -> None:
    held = bundle.folder_files(prepared=prepared)
    assert set(held) == {f"assets/calc/{name}" for name in (*PAGES, "offline.js", "offline-pandas.js")}
    first = held["assets/calc/offline.js"]
    assert isinstance(first, str)
    names = re.findall(r'^HANDBOOK_OFFLINE\["([^"]+)"\]=', first, re.M)
    assert names == [
        "worker.js",
        "calc.zip",
        "numpy.zip",
        "pyodide.asm.mjs.gz",
        "pyodide.asm.wasm.gz",
        "pyodide.mjs.gz",
        "stdlib.zip",
    ]
    assert not [address for address in held if bundle.hosted_only(address)]


def test_a_script_that_does_not_bundle_is_named(prepared: Path, tmp_path: Path) -> None:
    sources = tmp_path / "sources"
    sources.mkdir()
    (sources / "handbook.js").write_text('import { gone } from "./nowhere.js"; gone();\n', "utf-8")
    with pytest.raises(bundle.BundleError) as failed:
        bundle.scripts(prepared, sources=sources, kept=tmp_path)
    assert str(failed.value).startswith("The script handbook.js does not bundle.\n")
    assert 'Could not resolve "./nowhere.js"' in str(failed.value)


def test_the_keeper_lists_every_file_of_the_site_with_its_hash(tmp_path: Path) -> None:
    for address in ("index.html", "steps/stack.html", "assets/calc/runtime/numpy.zip", "downloads/copy.zip"):
        path = tmp_path / address
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(address, "utf-8")
    text = bundle.keeper(tmp_path).read_text("utf-8")
    assert '"index.html":' in text
    assert '"steps/stack.html":' in text
    assert '"assets/calc/runtime/numpy.zip":' in text
    assert "downloads/" not in text


def test_the_web_app_has_no_address_of_its_own() -> None:
    told = json.loads(bundle.app())
    assert told["start_url"] == "index.html"
    assert told["scope"] == "./"
    assert (SOURCES / Path(told["icons"][0]["src"]).name).is_file()


def test_the_lock_of_npm_holds_integrity_and_no_address() -> None:
    lock = json.loads(npm.LOCK.read_text("utf-8"))
    packages = {name: told for name, told in lock["packages"].items() if name}
    assert packages
    assert all("resolved" not in told and told["integrity"].startswith("sha512-") for told in packages.values())
