"""Reading the first sheet of a table file, CSV or XLSX, into cells; whatever is wrong with it is one line."""

from __future__ import annotations

import stat
from pathlib import Path
from typing import Final

from model.errors import PlantError
from model.line.sheet import Cells, Numbered, cells_of

MOST_BYTES: Final = 4_000_000
"""A larger file is no schedule of one plant."""
_BOOKS: Final = (".xlsx", ".xlsm", ".xls", ".ods")


def read_sheet(path: Path) -> list[Numbered]:
    """Rows that are not blank with their numbers from 1. Raises PlantError naming the file."""
    where = str(path)
    status = path.stat()
    if not stat.S_ISREG(status.st_mode):
        raise PlantError("is no ordinary file", where=where, hint="Choose a table: *.csv or *.xlsx")
    if status.st_size > MOST_BYTES:
        raise PlantError(
            f"the file has {status.st_size} bytes, at most {MOST_BYTES}", where=where, hint="Split the table"
        )
    rows = _book(path) if path.suffix.lower() in _BOOKS else cells_of(_text(path.read_bytes(), where))
    if not rows:
        raise PlantError(
            "there is no row in it", where=where, hint="Save the sheet with its rows: from, to, tray, slot"
        )
    return rows


def _text(data: bytes, where: str) -> str:
    encoding = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        raise PlantError("the table is not UTF-8 text", where=where, hint="Save it as CSV in UTF-8, or XLSX") from None
    if "\0" in text:
        raise PlantError("the file is no table of text", where=where, hint="Save it as CSV in UTF-8, or XLSX")
    return text


def _book(path: Path) -> list[Numbered]:
    from python_calamine import CalamineError, CalamineWorkbook

    try:
        with CalamineWorkbook.from_path(path) as book:
            rows = book.get_sheet_by_index(0).to_python(skip_empty_area=False)
    except (CalamineError, OSError, ValueError, IndexError) as fault:
        why = " ".join(str(fault).split())[:120]
        raise PlantError(f"the workbook cannot be read: {why}", where=str(path), hint="Save it again") from None
    found: list[Numbered] = []
    for number, row in enumerate(rows, start=1):
        cells: Cells = tuple(_cell(value) for value in row)
        if any(cells):
            found.append((number, cells))
    return found


def _cell(value: object) -> str:
    """A cell as it is shown: a whole number without a decimal point."""
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return " ".join(str(value).split())
