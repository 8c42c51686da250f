"""A paper's tables as one: tables of the same columns laid together, for a spreadsheet or a CSV."""

from dataclasses import replace

from loomwright.pack.pages import RowGroup, Sheet, Table


def merged_tables(sheet: Sheet) -> tuple[Table, ...]:
    """Return a sheet's tables, those of the same columns as one; a table's title goes to its groups.

    The first keeps the sheet's title, so that a paper of one kind of table becomes one worksheet.
    """
    found: dict[tuple[object, ...], list[Table]] = {}
    for table in sheet.tables:
        found.setdefault(table.columns, []).append(table)
    return tuple(_merged(sheet, tables, n) for n, tables in enumerate(found.values()))


def _merged(sheet: Sheet, tables: list[Table], number: int) -> Table:
    if len(tables) == 1:
        title = (
            sheet.title
            if number == 0
            else f"{sheet.title}, {tables[0].title or tables[0].name or number + 1}"
        )
        return replace(tables[0], title=title)
    groups = tuple(_told(table, group) for table in tables for group in table.groups)
    title = sheet.title if number == 0 else f"{sheet.title}, {number + 1}"
    return Table(tables[0].columns, groups, title, tables[0].note)


def _told(table: Table, group: RowGroup) -> RowGroup:
    titles = dict.fromkeys(t for t in (table.title or table.name, group.title) if t)
    return RowGroup(group.rows, ", ".join(titles))
