"""HTML and SVG that nothing said in a note can break out of: every text and every value is escaped."""

from __future__ import annotations

from collections.abc import Iterable
from html import escape

from assistant.reports.wording import clean

#: HTML elements without content; in SVG every element may be closed in itself.
_VOID = frozenset({"meta", "input", "br", "line", "rect", "circle", "path"})


class Markup(str):
    """Text that already is markup, made by :func:`tag` or by a person who wrote this program."""

    __slots__ = ()


def tag(element: str, /, *children: str | Iterable[str], **attributes: str | float | None) -> Markup:
    """An element.  Plain strings are escaped; ``class_`` and ``data_x`` stand for class and data-x.

    An attribute that is None is left out, one that is "" is written bare.
    """
    inside = "".join(text(child) for child in _flat(children))
    head = "".join(_attribute(key, value) for key, value in attributes.items() if value is not None)
    return Markup(f"<{element}{head}/>" if element in _VOID else f"<{element}{head}>{inside}</{element}>")


def text(value: str) -> Markup:
    """The value as text of a page, unless it is markup already."""
    return value if isinstance(value, Markup) else Markup(escape(clean(value), quote=True))


def join(parts: Iterable[str], between: str = "") -> Markup:
    """Parts one after the other."""
    return Markup(text(between).join(text(part) for part in parts))


def _attribute(key: str, value: str | float) -> str:
    name = key.rstrip("_").replace("_", "-")
    if isinstance(value, str):
        return f' {name}="{escape(clean(value), quote=True)}"' if value else f" {name}"
    return f' {name}="{number(value)}"'


def number(value: float) -> str:
    """A length with at most one decimal, the same text on every machine."""
    shown = f"{value:.1f}"
    return shown.removesuffix(".0") if shown != "-0.0" else "0"


def _flat(children: Iterable[str | Iterable[str]]) -> Iterable[str]:
    for child in children:
        if isinstance(child, str):
            yield child
        else:
            yield from child
