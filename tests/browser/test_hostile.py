"""Rubbish and hostile text in every field of every form: it stays text, and the page goes on working."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

HOSTILE = [
    "<img src=x onerror=window.ran=1>",
    '"><script>window.ran=1</script>',
    "' onfocus=window.ran=1 autofocus x='",
    "</p></form></calc-form><h1>Mine</h1>",
    "<svg><animate onbegin=window.ran=1 attributeName=x></svg>",
    "&lt;b&gt; &amp;amp; &#60;i&#62;",
    "javascript:window.ran=1",
    "${window.ran=1}{{constructor.constructor('window.ran=1')()}}",
    "W" * 10_000,
    "1" * 10_000,
    "👩‍👩‍👧‍👦" * 40,
    "\u202eשלום 12 عربى\u202c",
    "e\u0301" * 100 + "\u200b\u200d\ufeff",
    "\ud800",
    "\x00\x01\x1b[31m",
]
RUBBISH = [
    *("", "   ", "\t\n", "-", "+", ".", ",", "/", "1/", "/2", "1/0", "0/0", "½", "٣", "⁵", "Ⅷ", "0x10", "1_000"),
    *("nan", "NaN", "inf", "-Infinity", "1e308", "-1e308", "1e-308", "1e400", "1e99999", "9" * 60, "-0", "0", "-1"),
    *("1,125", "1.125,5", "1.2.3", "1 2 3", "3 1/2", "--5", "5-", "5%", "250 lb/in", "5 lb lb", "5 parsecs", "5 N/m/s"),
    *("true", "None", "null", "undefined", "__proto__", "constructor", "toString", "{value}", "{0}", "%s%n", "\\", "'"),
]

# All of a page's fields get each text at once, then each field gets one text alone.
PLAY = """async ([texts, alone]) => {
  const forms = [...document.querySelectorAll("calc-form")];
  const fields = forms.flatMap((form) => [...form.querySelectorAll("input[name], select[name], textarea[name]")])
    .filter(({ type }) => !["hidden", "file"].includes(type));
  // The browser keeps other text out of a date; an older one lets it through.
  for (const field of fields) if (field.type === "date") field.type = "text";
  const put = (field, text) => {
    if (field instanceof HTMLSelectElement) field.add(new Option("x", text, false, true));
    else if (["checkbox", "radio"].includes(field.type)) field.checked = !field.checked;
    else field.value = text;
    for (const kind of ["input", "change"]) field.dispatchEvent(new Event(kind, { bubbles: true }));
  };
  const dangerous = "img, script, iframe, object, embed, h1, animate, [onerror], [onload], [onfocus], [onbegin], " +
    "[autofocus], a[href^='javascript' i]";
  const before = document.querySelectorAll(dangerous).length;
  const wrong = new Set();
  const look = (what, typed = "") => {
    if (window.ran) wrong.add(`${what}: it ran`);
    if (document.querySelectorAll(dangerous).length !== before) wrong.add(`${what}: it became markup`);
    if (forms.length !== document.querySelectorAll("calc-form").length) wrong.add(`${what}: a form is gone`);
    const over = document.documentElement.scrollWidth - innerWidth;
    if (over > 0) wrong.add(`${what}: ${over} px too wide`);
    // What was typed is told between quotation marks or as a name, and is not the page's own word.
    const shown = document.querySelector("article").innerText.replace(/“[^”]*”/gs, "");
    const own = typed.trim() ? shown.replaceAll(typed.trim(), "") : shown;
    const leak = /\\bNaN\\b|\\bundefined\\b|\\bnull\\b|\\bNone\\b|Traceback|\\[object|\\binf\\b|Infinity|∞|Error\\b|\\{value\\}/.exec(own);
    if (leak) wrong.add(`${what}: the page says ${own.slice(Math.max(0, leak.index - 40), leak.index + 40)}`);
    for (const status of document.querySelectorAll("[data-region=status]")) {
      if (/fault|started again|memory/.test(status.textContent)) wrong.add(`${what}: ${status.textContent}`);
    }
  };
  const told = (text) => JSON.stringify(text.slice(0, 40));
  const answered = async () => {
    do await new Promise(requestAnimationFrame); while (document.querySelector("calc-form[aria-busy]"));
  };
  const results = () => [...document.querySelectorAll("[data-region=results] dl")].map((one) => one.innerText.replace(/±[^\\n]*/g, "")).join();
  const example = results();
  put(fields[0], fields[0].value);
  await answered();
  for (const text of texts) {
    for (const field of fields) put(field, text);
    await answered();
    look(told(text), text);
  }
  for (const field of fields) {
    put(field, alone);
    await answered();
    look(`${field.name} ${told(alone)}`, alone);
  }
  // What was there is worked out again as if nothing had been; a plus-minus that was typed is taken as it was printed.
  for (const field of fields) {
    if (field instanceof HTMLSelectElement) {
      const built = [...field.options].find((option) => option.defaultSelected) ?? field.options[0];
      put(field, built.value);
    } else if (["checkbox", "radio"].includes(field.type)) field.checked = field.defaultChecked;
    else put(field, field.defaultValue);
  }
  await answered();
  look("the example again");
  if (results() !== example) wrong.add(`the example again: ${results()} instead of ${example}`);
  return { wrong: [...wrong], fields: fields.length };
}"""


def test_no_text_in_any_field_is_markup_or_stops_a_page(site: Path, reader: Callable[..., Any]) -> None:
    names = sorted(
        path.relative_to(site).as_posix() for path in site.rglob("*.html") if "<calc-form" in path.read_text("utf-8")
    )
    assert {"index.html", "rig.html", "quote.html", "steps/rescaled_rate.html"} <= set(names)
    me = reader(viewport={"width": 390, "height": 800})
    me.page.on("dialog", lambda dialog: me.wrong.append(dialog.message))
    wrong = {}
    for name in names:
        page = me.visit(name)
        # A step's fields get all of it without a browser, in tests/sheet/test_rubbish.py.
        rubbish = RUBBISH[::4] if name.startswith("steps/") else RUBBISH
        found = page.evaluate(PLAY, [[*HOSTILE, *rubbish], HOSTILE[0]])
        assert found["fields"] >= 1, name
        if found["wrong"]:
            wrong[name] = found["wrong"]
    assert wrong == {}


def test_hostile_units_are_refused(reader: Callable[..., Any]) -> None:
    """A unit that no choice offers, sent by a page that was tampered with."""
    me = reader()
    page = me.visit("steps/rescaled_rate.html")
    page.locator('[data-unit-of="axle_mass_after"]').evaluate(
        """select => { select.add(new Option("x", "<img src=x onerror=window.ran=1>", false, true));
          select.dispatchEvent(new Event("change", { bubbles: true })); }"""
    )
    me.settled()
    me.fill("axle_mass_after", "3500")
    assert "1.439" in me.region("results")
    assert page.evaluate("window.ran") is None
