"""Sheets as HTML inside one page that needs nothing else: every word escaped, every figure within it."""

import base64
from collections.abc import Iterable, Iterator
from html import escape
from typing import Final

from loomwright.pack.pages import (
    Beside,
    Block,
    Card,
    Caution,
    Cell,
    Column,
    Facts,
    Figure,
    FigureRow,
    FindingList,
    Flow,
    Heading,
    Paragraph,
    Sheet,
    Table,
)
from loomwright.sheets.svg import svg_text

DECIMALS: Final = 6  # significant digits of a number whose column asks for none
PIXELS_PER_MM: Final = 3.0


def sheet_html(sheet: Sheet) -> str:
    """Return one sheet as a section of a page.

    Args:
        sheet: its title becomes the heading, its key the anchor
    """
    parts = [f'<section id="{escape(sheet.key)}"><h2>{escape(sheet.title)}</h2>']
    parts += [f'<p class="stamp">{escape(stamp)}</p>' for stamp in sheet.stamps]
    parts += [f"<p>{escape(sheet.intro)}</p>"] if sheet.intro else []
    parts += [_caution(one) for one in sheet.cautions]
    parts += _blocks(sheet.blocks)
    return "\n".join((*parts, "</section>"))


def picture_html(data: bytes, media: str, words: str) -> str:
    """Return a picture that lies within the page.

    Args:
        data: its bytes
        media: its media type, "image/jpeg"
        words: what it shows, for those who can't see it
    """
    text = base64.b64encode(data).decode()
    return f'<img alt="{escape(words)}" src="data:{media};base64,{text}">'


def _blocks(blocks: Iterable[Block]) -> Iterator[str]:
    for block in blocks:
        match block:
            case Heading():
                yield f"<h3>{escape(block.text)}</h3>"
            case Paragraph():
                text = escape(block.text)
                yield f"<p>{f'<strong>{text}</strong>' if block.bold else text}</p>"
            case Caution():
                yield _caution(block.text)
            case Facts():
                pairs = (f"<dt>{escape(a)}</dt><dd>{escape(b)}</dd>" for a, b in block.pairs)
                yield f"<dl>{''.join(pairs)}</dl>"
            case FindingList():
                yield from (
                    f"<p><strong>{escape(x.code)}</strong> {escape(x.what_is)}</p>" for x in block.lines
                )
            case Figure():
                yield _figure(block)
            case FigureRow():
                yield f'<div class="row">{"".join(map(_figure, block.figures))}</div>'
            case Table():
                yield from _table(block)
            case Card() | Flow():
                yield from _blocks(block.blocks)
            case Beside():
                for part in block.parts:
                    yield from _blocks(part)
            case _:
                continue


def _caution(text: str) -> str:
    return f'<p class="caution"><strong>Caution</strong> {escape(text)}</p>'


def _figure(one: Figure) -> str:
    drawing = one.drawing
    words = one.caption or drawing.title
    wide = f' width="{drawing.width_mm * PIXELS_PER_MM:.0f}"'
    image = picture_html(svg_text(drawing, under=one.under).encode(), "image/svg+xml", words).replace(
        "<img", f"<img{wide}"
    )
    return f"<figure>{image}<figcaption>{escape(words)}</figcaption></figure>"


def _table(table: Table) -> Iterator[str]:
    """A table without the columns that are only there to be written in."""
    shown = [n for n, c in enumerate(table.columns) if c.kind not in ("tick", "blank")]
    heads = "".join(f"<th scope=col>{_head(table.columns[n])}</th>" for n in shown)
    title = f"<caption>{escape(table.title)}</caption>" if table.title else ""
    yield f'<div class="wide"><table>{title}<thead><tr>{heads}</tr></thead>'
    for group in table.groups:
        name = (
            f'<tr><th colspan="{len(shown)}" scope=rowgroup>{escape(group.title)}</th></tr>'
            if group.title
            else ""
        )
        rows = (f"<tr>{''.join(_cell(row[n], table.columns[n]) for n in shown)}</tr>" for row in group.rows)
        yield f"<tbody>{name}{''.join(rows)}</tbody>"
    note = f"<p><small>{escape(table.note)}</small></p>" if table.note else ""
    yield f"</table>{note}</div>"


def _head(column: Column) -> str:
    return escape(f"{column.head} [{column.unit}]" if column.unit else column.head)


def _cell(cell: Cell, column: Column) -> str:
    if isinstance(cell, float | int) and not isinstance(cell, bool):
        text = f"{cell:.{column.decimals}f}" if column.decimals is not None else f"{cell:.{DECIMALS}g}"
    else:
        text = "" if cell is None else str(cell)
    inside = f"<strong>{escape(text)}</strong>" if column.bold else escape(text)
    return f'<td class="number">{inside}</td>' if column.kind == "number" else f"<td>{inside}</td>"
