"""A paper's tables as one: tables of the same columns laid together, for a spreadsheet or a CSV."""

from dataclasses import replace

from loomwright.pack.pages import RowGroup, Sheet, Table


def lifted(table: Table, *heads: str) -> Table:
    """Return a table without those named columns in which every row says the same; the note says it."""
    named = [n for n, column in enumerate(table.columns) if column.head in heads]
    same = {n for n in named if len({row[n] for row in table.rows}) == 1}
    said = [f"{table.columns[n].head}: {table.rows[0][n]}" for n in sorted(same) if table.rows[0][n]]
    if not same:
        return table
    groups = tuple(
        RowGroup(
            tuple(tuple(c for n, c in enumerate(row) if n not in same) for row in group.rows), group.title
        )
        for group in table.groups
    )
    columns = tuple(column for n, column in enumerate(table.columns) if n not in same)
    every = f"Every row, {'; '.join(said)}." if said else ""
    return replace(table, columns=columns, groups=groups, note=" ".join(t for t in (every, table.note) if t))


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
