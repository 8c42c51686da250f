"""The front page of a pack: one self-contained HTML page with links to every file and the findings."""

from collections.abc import Iterable
from html import escape
from typing import Final
from urllib.parse import quote

from loomwright.findings import Finding, FindingGroup, Severity, grouped
from loomwright.pack.pages import PackHead
from loomwright.sheets.files import PackFile

STYLE: Final = (
    ":root{color-scheme:light dark}"
    "body{font:16px/1.5 system-ui,sans-serif;max-width:60rem;margin:2rem auto;padding:0 1rem;"
    "overflow-wrap:anywhere}"
    "h1{margin-bottom:0}h1+p{margin-top:.2rem}table{border-collapse:collapse;width:100%}small{opacity:.75}"
    "td,th{text-align:left;vertical-align:top;border-bottom:1px solid #888;padding:.5rem .6rem .5rem 0}"
    ".fault,.caution,.note{border-left:1px solid;padding-left:.8rem;margin:1rem 0}"
    ".fault{border-left-width:6px}.caution{border-left-width:3px}.note{padding-left:calc(.8rem + 2px)}"
    ".stamp{border:2px solid;padding:.4rem .8rem;font-weight:700;display:inline-block}"
    "@media(max-width:40rem){tr,td{display:block}th{display:none}td{border:0;padding:.1rem 0}"
    "tr{border-bottom:1px solid #888;padding:.5rem 0}}"
)
MOST_PLACES: Final = 12


def front_page(
    head: PackHead, files: Iterable[PackFile], stamped: Iterable[str], findings: tuple[Finding, ...]
) -> bytes:
    """Return the page; every word of the job is escaped and every link quoted.

    Args:
        head: job, revision, digest
        files: files in the order to show
        stamped: sheets that are not for build
        findings: all findings, accepted ones marked
    """
    names = ", ".join(sorted(stamped))
    stamp = f'<p class="stamp">NOT FOR BUILD: {escape(names)}</p>' if names else ""
    tail = " · ".join(
        p for p in (f"revision {head.revision}" if head.revision else "not issued", head.issued) if p
    )
    parts = (
        '<!doctype html>\n<html lang="en"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width,initial-scale=1">',
        f"<title>{escape(head.job)}</title><style>{STYLE}</style></head><body>",
        f"<h1>{escape(head.job)}</h1>",
        f"<p>{escape(tail)} · digest {escape(head.digest)}</p>",
        stamp,
        "<h2>Papers</h2><table><tr><th>file</th><th>what it is</th><th>prints on</th></tr>",
        *map(_link, files),
        "</table><h2>Findings</h2>",
        *(map(_group, grouped(findings)) if findings else ("<p>Nothing was found wrong.</p>",)),
        f"<p><small>{escape(head.foot)}</small></p></body></html>",
    )
    return "\n".join(part for part in parts if part).encode()


def _link(one: PackFile) -> str:
    return (
        f'<tr><td><a href="{quote(one.name)}">{escape(one.name)}</a></td>'
        f"<td>{escape(one.words)}</td><td>{escape(one.prints)}</td></tr>"
    )


def _group(group: FindingGroup) -> str:
    first = group.findings[0]
    places = list(dict.fromkeys(f.place.words for f in group.findings))
    named = ", ".join(places[:MOST_PLACES]) + (" ..." if len(places) > MOST_PLACES else "")
    kept = f"<br><em>Accepted: {escape(first.accepted)}</em>" if first.accepted else ""
    kind = {Severity.FAULT: "fault", Severity.CAUTION: "caution"}.get(group.severity, "note")
    return (
        f'<div class="{kind}"><p><strong>{escape(str(group.severity)).upper()} {escape(group.code)}</strong> '
        f"{escape(named)}<br>{escape(first.what_is)} "
        f"{escape(first.should)}<br>{escape(first.remedy)}{kept}</p></div>"
    )
