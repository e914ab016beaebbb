"""What happens at each moment of a MkDocs build; `docs/hooks/handbook.py` hands the moments on."""

from __future__ import annotations

import re
from typing import Any

from mkdocs.config.defaults import MkDocsConfig
from mkdocs.exceptions import PluginError
from mkdocs.structure.files import Files
from mkdocs.structure.pages import Page

from calc.desk import bundle, csp, equations, reference
from calc.desk import page as filling
from calc.errors import HandbookError

# Word stems of other languages, for the search of a site that is written in one of them.
OTHER_LANGUAGES = "assets/javascripts/lunr/"
SEARCH = 'data-md-component="search" role="dialog"'
# What stands between these keeps every blank.
AS_SET = re.compile(r"(<(?:pre|textarea|script|style)\b.*?</(?:pre|textarea|script|style)>)", re.S)

_blocks: dict[str, dict[str, str]] = {}


def on_config(config: MkDocsConfig, **_rest: Any) -> MkDocsConfig:
    """Put the page of every step into the navigation, in the order of the job."""
    for entry in config.nav or []:
        if "Steps" in entry:
            entry["Steps"] = [
                *entry["Steps"],
                *({step.title: f"steps/{step.name}.md"} for step in reference.with_page()),
            ]
    return config


def on_files(files: Files, **_rest: Any) -> Files:
    """Leave out what no page loads.

    The scripts' modules, of which `calc.desk.bundle` makes one script, and the theme's search in other languages.
    """
    for file in list(files):
        module = file.src_uri.startswith("assets/calc/") and file.src_uri.endswith((".js", ".ts"))
        if module or file.src_uri.startswith(OTHER_LANGUAGES):
            files.remove(file)
    return files


def on_page_markdown(markdown: str, page: Page, **_rest: Any) -> str:
    """Fill in values and directives."""
    name = page.file.src_uri
    try:
        text, _blocks[name] = filling.expand(markdown, name)
    except HandbookError as error:
        raise PluginError(str(error)) from error
    return text


def on_page_content(html: str, page: Page, **_rest: Any) -> str:
    """Put what the directives rendered into the page."""
    name = page.file.src_uri
    try:
        return filling.fill(html, _blocks.pop(name, {}), name)
    except HandbookError as error:
        raise PluginError(str(error)) from error


def on_env(env: Any, files: Files, **_rest: Any) -> Any:
    """Set the equations of all pages, now that every page has its content."""
    pages = {file.src_uri: file.page for file in files.documentation_pages() if file.page is not None}
    try:
        made = equations.set_all({name: one.content or "" for name, one in pages.items()})
    except HandbookError as error:
        raise PluginError(str(error)) from error
    for name, one in pages.items():
        one.content = made[name]
    return env


def on_post_page(output: str, page: Page, **_rest: Any) -> str:
    """Give a finished page its policy."""
    return _finished(output, page.file.src_uri)


def on_post_template(output: str, template_name: str, **_rest: Any) -> str:
    """Treat a page that is not made from Markdown like any other."""
    return _finished(output, template_name) if template_name.endswith(".html") else output


def _finished(output: str, name: str) -> str:
    # The theme leaves its search dialog without a name.
    output = unindented(output.replace(SEARCH, SEARCH + ' aria-label="Search"'))
    _, refused = csp.read(output)
    if refused:
        raise PluginError(f"{name}: the page's policy refuses {', '.join(sorted(set(refused)))}.")
    return csp.protect(bundle.with_script(output), csp.HOSTED)


def unindented(html: str) -> str:
    r"""Return a page without its templates' indentation and empty lines, a fortieth of what is sent; text stays as set.

    >>> unindented("<p>\n\n   a b\n</p><pre>\n  c\n</pre>")
    '<p>\na b\n</p><pre>\n  c\n</pre>'
    """
    return "".join(
        part if place % 2 else re.sub(r"[ \t]*\n[ \t\n]*", "\n", part) for place, part in enumerate(AS_SET.split(html))
    )
