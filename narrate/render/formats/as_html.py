"""Page → one self-contained HTML file: no script, nothing fetched, every text escaped, with a style for paper."""

from __future__ import annotations

from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from jinja2 import Template as Compiled
from markupsafe import Markup

from narrate.render.formats.page import Facts, Note, Page, Signatures, Table, clean_text, ranges, say_run

_KINDS = {Facts: "facts", Table: "table", Note: "note", Signatures: "signatures"}


def write_html(page: Page, seal: str) -> str:
    """The page as HTML. `seal` is put into the file's head, where `seal.py` finds it again."""
    style = Markup(_resource("page.css"))  # ours, and holds no text of a sheet
    quotes = {quote.number: quote for quote in page.quotes}
    return _template().render(page=page, quotes=quotes, style=style, seal=seal).lstrip() + "\n"


@cache
def _template() -> Compiled:
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_clean
    )
    environment.filters["kind"] = lambda body: _KINDS[type(body)]
    environment.filters["runs"] = lambda refs: [(run, say_run(run)) for run in ranges(refs)]
    return environment.from_string(_resource("page.html.j2"))


def _clean(value: object) -> object:
    """What Jinja does to every value before it is escaped and written."""
    return clean_text(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _resource(name: str) -> str:
    return files("narrate.render.formats").joinpath(name).read_text(encoding="utf-8")
