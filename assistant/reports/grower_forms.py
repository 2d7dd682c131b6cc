"""The grower's page as a phone message, as HTML and as PDF."""

from __future__ import annotations

from assistant.reports.drawing import svg
from assistant.reports.grower import GrowerPage
from assistant.reports.markup import Markup, join, tag
from assistant.reports.paper import Paper
from assistant.reports.shell import page as html_page
from assistant.reports.shell import paragraphs
from assistant.reports.wording import long_day


def grower_html(page: GrowerPage) -> str:
    """One page for a screen or a printer."""
    parts = [
        tag("h1", page.field),
        tag("p", _told(page), class_="soft"),
        _block("What it is", list(page.what)),
        _block(_meaning(page), list(page.so_what)),
        tag("h2", "What to do now"),
        tag("p", f"{page.now}.", class_="do"),
        _block("By when", list(page.by_when)),
        _block("One thing still open", [page.question] if page.question else []),
        _mind(page),
        tag("figure", tag("figcaption", page.picture.title), svg(page.picture)),
    ]
    return html_page(page.field, tag("main", join(parts, "\n"), class_="grower"))


def _block(head: str, texts: list[str]) -> Markup:
    return join([tag("h2", head), paragraphs(texts)]) if texts else Markup("")


def _mind(page: GrowerPage) -> Markup:
    if not page.cautions:
        return Markup("")
    return join([tag("h2", "Mind"), tag("ul", [tag("li", each) for each in page.cautions])])


def grower_pdf(page: GrowerPage) -> bytes:
    """One sheet of paper."""
    with Paper(page.field, f"{page.field}, as of {long_day(page.on)}", page.on) as paper:
        paper.title(page.field, _told(page))
        _print(paper, "What it is", page.what)
        _print(paper, _meaning(page), page.so_what)
        paper.small_heading("What to do now")
        paper.text(f"{page.now}.", size=16, bold=True)
        _print(paper, "By when", page.by_when)
        _print(paper, "One thing still open", (page.question,) if page.question else ())
        _print(paper, "Mind", page.cautions, size=8.5)
        paper.space(1)
        paper.picture(page.picture)
        return paper.data()


def _print(paper: Paper, head: str, texts: tuple[str, ...], *, size: float = 11) -> None:
    if texts:
        paper.small_heading(head)
        for each in texts:
            paper.text(each, size=size)


def _meaning(page: GrowerPage) -> str:
    return "What it means" if page.stands else "Why it was decided so"


def _told(page: GrowerPage) -> str:
    if page.noted_on is None:
        return f"As of {long_day(page.on)}"
    return f"As of {long_day(page.on)}; last looked at on {long_day(page.noted_on)}"
