"""The shell of an HTML page: one file, nothing fetched, nothing run but a script that this program ships."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files

from assistant.reports.markup import Markup, join, tag


@cache
def shipped(name: str) -> Markup:
    """A style sheet or a script that lies beside this module."""
    raw = (files("assistant.reports") / name).read_text(encoding="utf-8")
    return Markup("\n" + raw.replace("\r\n", "\n"))


def page(title: str, body: Markup, *, script: str | None = None) -> str:
    """A whole page.

    The Content-Security-Policy lets only the shipped style and script through, by their hash: were
    something in a note ever taken for markup, the browser would neither run it nor fetch for it.
    """
    style = shipped("page.css")
    run = shipped(script) if script else None
    policy = f"default-src 'none'; style-src '{_hash(style)}'; base-uri 'none'; form-action 'none'"
    if run is not None:
        policy += f"; script-src '{_hash(run)}'"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("title", title),
        tag("style", style),
    )
    foot = tag("script", run) if run is not None else Markup("")
    html = tag("html", head, "\n", tag("body", body, foot), lang="en")
    return f"<!doctype html>\n{html}\n"


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


def paragraphs(texts: list[str], **attributes: str) -> Markup:
    """Each text in a paragraph of its own."""
    return join([tag("p", each, **attributes) for each in texts if each])
