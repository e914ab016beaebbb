"""What is kept in the browser, in a file and in a link, when the browser refuses, is full, or holds something else.

The modules are bundled as they are and run at an address of the built site, without any page's markup.
"""

from __future__ import annotations

import base64
import json
import subprocess
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Page, expect

from calc.desk import environment, npm
from calc.desk.places import SOURCES

pytestmark = pytest.mark.browser

# What is shown as it is, and costs less to open than any page.
PLAIN = "assets/calc/handbook.css"
KEY = "spring-damper-handbook:rigs"
ASIDE = "spring-damper-handbook:rigs-not-read"
REFUSED = """Object.defineProperty(window, "localStorage", {
  get() { throw new DOMException("The operation is insecure.", "SecurityError"); } });"""
FULL = """Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError"); };"""
# The theme itself reads the storage, and does not expect to be refused.
THEME = ("insecure", "localStorage")


@pytest.fixture(scope="module")
def modules(tmp_path_factory: pytest.TempPathFactory) -> str:
    """The store and the link as one script, as a page's own bundle holds them."""
    folder = tmp_path_factory.mktemp("modules")
    entry = folder / "entry.js"
    entry.write_text(
        f'export * from "{SOURCES.as_posix()}/store.js"; export * from "{SOURCES.as_posix()}/link.js";', "utf-8"
    )
    made = folder / "made.js"
    npm.script(
        "esbuild", "bin/esbuild", str(entry), f"--outfile={made}", "--bundle", "--format=iife", "--global-name=kept"
    )
    return made.read_text("utf-8")


@pytest.fixture
def shelf(reader: Callable[..., Any], modules: str) -> Callable[..., Page]:
    """Open a plain file of the site with the store in it."""

    def open_page(*before: str, where: str = "host", me: Any = None) -> Page:
        me = me or reader(where)
        page: Page = me.context.new_page()
        for script in before:
            page.add_init_script(script)
        me.visit(PLAIN, page)
        page.evaluate(modules + "; window.kept = kept; window.store = new kept.Store();")
        return page

    return open_page


def rig(name: str, **values: float) -> dict[str, Any]:
    return {"format": "spring and damper rig", "version": 1, "name": name, "values": values}


def test_rigs_are_kept_by_name_and_found_by_the_next_page(
    shelf: Callable[..., Page], reader: Callable[..., Any]
) -> None:
    me = reader()
    page = shelf(me=me)
    assert page.evaluate("store.current()") is None
    page.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.85))
    page.evaluate("other => store.add(other)", rig("Heron", wheelbase=2.6))
    page.evaluate("store.blank()")
    assert page.evaluate("store.current()") is None
    later = shelf(me=me)
    assert [one["name"] for one in later.evaluate("store.names()")] == ["Wren", "Heron"]
    later.evaluate("store.choose(store.named('Wren'))")
    assert later.evaluate("store.current().values.wheelbase") == 2.85
    assert later.evaluate("store.sentence") == "Kept in this browser."
    later.evaluate("store.remove()")
    assert [one["name"] for one in shelf(me=me).evaluate("store.names()")] == ["Heron"]


def test_on_a_stick_it_is_said_that_the_stick_does_not_have_it(shelf: Callable[..., Page]) -> None:
    page = shelf(where="folder")
    assert page.evaluate("store.sentence") == (
        "Kept in this browser, not on the USB drive: save it to a file to take it along."
    )


def test_undo_goes_back_by_changes_and_not_by_letters(shelf: Callable[..., Page]) -> None:
    page = shelf()
    for value, edit in [(2.0, "wheelbase"), (2.8, "wheelbase"), (2.85, "wheelbase"), (2.86, "track")]:
        page.evaluate("([one, edit]) => store.keep(one, edit)", [rig("Wren", wheelbase=value), edit])
    page.evaluate("store.keep(store.current(), 'track')")
    page.evaluate("store.undo()")
    assert page.evaluate("store.current().values.wheelbase") == 2.85
    page.evaluate("store.undo()")
    assert page.evaluate("store.current()") is None
    assert page.evaluate("store.canUndo") is False
    page.evaluate("store.undo()")
    assert page.evaluate("store.names()") == []


def test_undo_is_bounded(shelf: Callable[..., Page]) -> None:
    page = shelf()
    page.evaluate("for (let at = 0; at < 300; at++) store.keep({ name: 'Wren', at }, `edit ${at}`)")
    steps = page.evaluate("(() => { let steps = 0; for (; store.canUndo; steps++) store.undo(); return steps; })()")
    assert steps == 100
    assert page.evaluate("store.current().at") == 199


def test_the_order_of_keys_is_no_change(shelf: Callable[..., Page]) -> None:
    page = shelf()
    page.evaluate("store.keep({ name: 'Wren', values: { a: 1, b: [1, 2] } })")
    page.evaluate("store.keep({ values: { b: [1, 2], a: 1 }, name: 'Wren' })")
    page.evaluate("store.undo()")
    assert page.evaluate("store.current()") is None


def test_two_rigs_of_one_name_can_be_told_apart(shelf: Callable[..., Page]) -> None:
    page = shelf()
    for value in (1.0, 2.0):
        page.evaluate("one => store.add(one)", rig("Wren", wheelbase=value))
    page.evaluate("store.add({ name: '__proto__' })")
    assert [one["name"] for one in page.evaluate("store.names()")] == ["Wren", "Wren (2)", "__proto__"]
    page.evaluate("one => store.choose(store.same(one))", rig("Wren", wheelbase=1.0))
    assert page.evaluate("store.current().values.wheelbase") == 1.0
    assert page.evaluate("one => store.same(one)", rig("Wren", wheelbase=3.0)) is None


def test_two_tabs_go_on_from_each_other(shelf: Callable[..., Page], reader: Callable[..., Any]) -> None:
    me = reader()
    one, other = shelf(me=me), shelf(me=me)
    other.evaluate("window.heard = 0; store.onChange(() => { heard += 1; });")
    one.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.85))
    other.wait_for_function("heard === 1")
    other.evaluate("other => store.add(other)", rig("Heron"))
    one.wait_for_function("store.names().length === 2")
    assert one.evaluate("store.current().name") == "Wren"
    one.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.9))
    assert sorted(kept["name"] for kept in json.loads(one.evaluate(f"localStorage['{KEY}']"))["rigs"].values()) == [
        "Heron",
        "Wren",
    ]


def test_a_browser_that_refuses_to_keep_leaves_the_page_working(shelf: Callable[..., Page]) -> None:
    page = shelf(REFUSED)
    page.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.85))
    page.evaluate("one => store.keep(one, 'wheelbase')", rig("Wren", wheelbase=2.9))
    page.evaluate("store.undo()")
    assert page.evaluate("store.current().values.wheelbase") == 2.85
    assert page.evaluate("store.sentence") == (
        "This browser keeps nothing for this page, so the rig is gone when the page is closed. Save it to a file."
    )


def test_a_full_storage_is_said_and_what_is_there_stays(shelf: Callable[..., Page], reader: Callable[..., Any]) -> None:
    me = reader()
    page = shelf(me=me)
    page.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.85))
    page.evaluate(f"void ({FULL.removesuffix(';')})")
    page.evaluate("one => store.keep(one)", rig("Wren", wheelbase=2.9))
    assert page.evaluate("store.current().values.wheelbase") == 2.9
    assert page.evaluate("store.sentence").startswith("The browser's storage is full, so the last change is not kept.")
    assert shelf(me=me).evaluate("store.current().values.wheelbase") == 2.85


@pytest.mark.parametrize(
    "text",
    [
        "{",
        "null",
        "[]",
        '"rigs"',
        "{}",
        '{"version": 1}',
        '{"version": 1, "current": "a", "rigs": {"a": 3}}',
        "\u0000" * 50,
    ],
)
def test_what_cannot_be_read_is_set_aside_and_not_lost(
    text: str, shelf: Callable[..., Page], reader: Callable[..., Any]
) -> None:
    me = reader()
    me.visit(PLAIN).evaluate("([key, text]) => localStorage.setItem(key, text)", [KEY, text])
    page = shelf(me=me)
    assert page.evaluate("store.current()") is None
    assert page.evaluate("store.sentence").startswith("What this browser had kept could not be read. It was set aside")
    assert page.evaluate(f"localStorage['{ASIDE}']") == text
    page.evaluate("one => store.keep(one)", rig("Wren"))
    assert shelf(me=me).evaluate("store.current().name") == "Wren"
    assert page.evaluate(f"localStorage['{ASIDE}']") == text


def test_what_cannot_be_read_stays_where_it_is_when_it_cannot_be_set_aside(
    shelf: Callable[..., Page], reader: Callable[..., Any]
) -> None:
    me = reader()
    me.visit(PLAIN).evaluate(f"localStorage.setItem('{KEY}', 'torn')")
    page = shelf(FULL, me=me)
    page.evaluate("one => store.keep(one)", rig("Wren"))
    assert page.evaluate("store.current().name") == "Wren"
    assert page.evaluate(f"localStorage['{KEY}']") == "torn"


def test_an_older_copy_never_writes_over_what_a_newer_one_kept(
    shelf: Callable[..., Page], reader: Callable[..., Any]
) -> None:
    newer = json.dumps({"version": 3, "something": "else"})
    me = reader()
    me.visit(PLAIN).evaluate("([key, text]) => localStorage.setItem(key, text)", [KEY, newer])
    page = shelf(me=me)
    page.evaluate("one => store.keep(one)", rig("Wren"))
    assert page.evaluate("store.current().name") == "Wren"
    assert page.evaluate("store.sentence").startswith("A newer copy of the handbook keeps rigs in this browser")
    assert page.evaluate(f"localStorage['{KEY}']") == newer
    # Nor when the newer copy is opened beside this one, while both run.
    page.evaluate(f"localStorage.removeItem('{KEY}')")
    fresh = shelf(me=me)
    fresh.evaluate("one => store.keep(one)", rig("Heron"))
    fresh.evaluate("([key, text]) => localStorage.setItem(key, text)", [KEY, newer])
    fresh.evaluate("one => store.keep(one)", rig("Heron", wheelbase=2.0))
    assert fresh.evaluate(f"localStorage['{KEY}']") == newer


def test_a_file_is_bounded_and_must_be_text(shelf: Callable[..., Page]) -> None:
    page = shelf()
    read = "parts => kept.readFile(new File(parts.map((part) => Array.isArray(part) ? new Uint8Array(part) : part), 'a.json'), 'rig').catch((error) => `refused: ${error.message}`)"
    assert page.evaluate(read, ["{}"]) == "{}"
    assert page.evaluate(read, ["x" * 1_000_001]).startswith("refused: This file is too large for a rig file (1 MB")
    assert page.evaluate(read, [[255, 254, 0, 1]]).startswith("refused: This file could not be read as text")


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("Wren", "wren.rig.json"),
        ("../../etc/Ünit <b>", "etc-unit-b.rig.json"),
        ("狼", "rig.rig.json"),
        ("a" * 200, "a" * 60 + ".rig.json"),
    ],
)
def test_a_file_gets_a_plain_name(name: str, file: str, shelf: Callable[..., Page]) -> None:
    assert shelf().evaluate("name => kept.fileName({ name })", name) == file


# --- links -----------------------------------------------------------------------------------------------------------


def test_a_link_holds_the_whole_rig_in_a_form_that_others_can_read(shelf: Callable[..., Page]) -> None:
    """Unpacked here with Python's own zlib, and its checksum is Python's crc32."""
    page = shelf()
    text = json.dumps(rig("Wrén 狼 “<b>”", wheelbase=2.85), ensure_ascii=False)
    fragment = page.evaluate("text => kept.toFragment(text)", text)
    body, _, checksum = fragment.removeprefix("#rig=").rpartition(".")
    packed = base64.urlsafe_b64decode(body + "=" * (-len(body) % 4))
    assert zlib.decompress(packed, -15).decode() == text
    assert int(checksum, 16) == zlib.crc32(packed)
    assert page.evaluate("fragment => kept.fromFragment(fragment)", fragment) == text


def test_a_link_made_elsewhere_is_read(shelf: Callable[..., Page]) -> None:
    page = shelf()
    assert page.evaluate("fragment => kept.fromFragment(fragment)", link(b'{"name": "Wren"}')) == '{"name": "Wren"}'


def link(text: bytes) -> str:
    squeeze = zlib.compressobj(9, zlib.DEFLATED, -15)
    packed = squeeze.compress(text) + squeeze.flush()
    return f"#rig={base64.urlsafe_b64encode(packed).decode().rstrip('=')}.{zlib.crc32(packed):08x}"


def test_a_damaged_link_says_so_whatever_the_damage(shelf: Callable[..., Page]) -> None:
    page = shelf()
    whole = link(json.dumps(rig("Wren", wheelbase=2.85)).encode())
    cut = [whole[:length] for length in range(5, len(whole))]
    swapped = [whole[:at] + ("A" if whole[at] != "A" else "B") + whole[at + 1 :] for at in range(5, len(whole))]
    read = "all => Promise.all(all.map((one) => kept.fromFragment(one).catch((error) => `refused: ${error.message}`)))"
    for said in page.evaluate(
        read, [*cut, *swapped, "#rig=", "#rig=.00000000", whole + "0", "#rig=<script>", whole * 3000]
    ):
        assert said.startswith("refused: The link is cut or damaged, so no rig was opened from it"), said


def test_a_small_link_cannot_fill_the_memory(shelf: Callable[..., Page]) -> None:
    said = shelf().evaluate("one => kept.fromFragment(one).catch((error) => error.message)", link(b" " * 30_000_000))
    assert said == "The link does not hold a rig of the handbook. Nothing was changed."


# --- what every page keeps -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize("trouble", [REFUSED, FULL])
def test_units_switch_without_any_storage(trouble: str, reader: Callable[..., Any]) -> None:
    me = reader()
    me.forgiven += THEME
    me.page.add_init_script(trouble)
    page = me.visit("steps/rescaled_rate.html")
    page.locator('calc-form [data-system="metric"]').first.click()
    me.settled()
    assert page.locator('[name="axle_mass_before"]').input_value() == "1112.662"
    me.fill("axle_mass_after", "1400")
    assert "1.223" in me.region("results")


@pytest.mark.parametrize("text", ["furlongs", "{", "", "\u0000"])
def test_kept_units_that_nobody_wrote_are_no_units(text: str, reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(PLAIN)
    page.evaluate(
        """text => { for (const key of ["units", "units:step/rescaled_rate"])
          localStorage.setItem(`spring-damper-handbook:${key}`, text); }""",
        text,
    )
    me.visit("steps/rescaled_rate.html")
    assert page.evaluate("document.documentElement.dataset.units") is None
    me.fill("axle_mass_after", "3500")
    assert "1.439" in me.region("results")


def test_a_kept_unit_that_the_field_no_longer_has_is_passed_over(reader: Callable[..., Any]) -> None:
    me = reader()
    page = me.visit(PLAIN)
    page.evaluate(
        """() => localStorage.setItem("spring-damper-handbook:units:step/rescaled_rate",
          JSON.stringify({ system: "shop", fields: { axle_mass_after: "bar", "<b>": "<img src=x>", __proto__: "kg" } }))"""
    )
    me.visit("steps/rescaled_rate.html")
    me.fill("axle_mass_before", "2453")
    assert "1.125" in me.region("results")
    expect(page.locator('[name="axle_mass_after"]')).to_have_value("2900")


def test_the_checksum_is_the_one_of_zip_files() -> None:
    """The check value of ISO 3309 for "123456789" is cbf43926 (from memory)."""
    code = f'import {{ crc32 }} from "{(Path(SOURCES) / "link.js").as_uri()}"; console.log(crc32(new TextEncoder().encode("123456789")).toString(16));'
    done = subprocess.run(
        [str(environment.node()), "--input-type=module", "--no-warnings", "-e", code],
        capture_output=True,
        text=True,
        check=True,
    )
    assert done.stdout.strip() == "cbf43926"
