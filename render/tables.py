"""Tables as files for spreadsheets: CSV, one file a table, and XLSX, one sheet a table.

A cell is a text, a number or nothing; a number stays a number, a text is never taken for a formula or a link. The same
tables, title and date give the same bytes. What stands in the tables is said elsewhere.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

Value = str | int | float | None

BOM: Final = "\ufeff"
"""Without it spreadsheets take UTF-8 for an older code page."""
LONGEST: Final = 32_767
"""Characters a cell of a spreadsheet holds."""
_TAKEN_FOR_FORMULA: Final = re.compile(r"'*[=+\-@\t\r]")
_NOT_IN_XML: Final = re.compile("[\ud800-\udfff\ufffe\uffff]")
_WIDEST, _LEAST = 60, 6


@dataclass(frozen=True, slots=True)
class Table:
    """``name`` is the file's stem and the sheet's name: lower case, hyphens, at most 31 characters.

    ``digits`` holds the decimals of each column; a float is rounded to them.
    """

    name: str
    title: str
    columns: tuple[str, ...]
    digits: tuple[int, ...]
    rows: tuple[tuple[Value, ...], ...]


def inert(text: str) -> str:
    """A text that no spreadsheet reads as a formula: an apostrophe before = + - @, tab and carriage return.

    Texts that look as if that had been done already get one more, so that ``plain`` gives every text back.
    """
    return f"'{text}" if _TAKEN_FOR_FORMULA.match(text) else text


def plain(text: str) -> str:
    """What ``inert`` was given."""
    return text[1:] if text.startswith("'") and _TAKEN_FOR_FORMULA.match(text) else text


def _value(value: Value, digits: int) -> Value:
    if isinstance(value, float):
        # 0.0 + turns -0.0 into 0.0; whole numbers lose the point that says more than is known.
        rounded = round(value, digits) + 0.0
        return int(rounded) if digits == 0 else rounded
    if isinstance(value, str):
        return _NOT_IN_XML.sub("\ufffd", value)
    return value


def values(table: Table) -> list[list[Value]]:
    """The rows as they are written: rounded, and without characters that no file can hold."""
    return [[_value(value, digits) for value, digits in zip(row, table.digits, strict=True)] for row in table.rows]


def to_csv(table: Table) -> str:
    """A table as CSV text with a byte order mark and CRLF, header first."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow([inert(column) for column in table.columns])
    for row in values(table):
        writer.writerow(["" if v is None else inert(v) if isinstance(v, str) else v for v in row])
    return BOM + out.getvalue()


def to_xlsx(tables: Sequence[Table], title: str, printed_on: str) -> bytes:
    """Tables as one workbook: header row frozen, widths set to what stands in the columns.

    ``title`` and ``printed_on`` (``YYYY-MM-DD``) are printed above and below every page and stand in the properties.
    Raises ValueError for another form of date.
    """
    import xlsxwriter

    out = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    book = xlsxwriter.Workbook(out, options)
    book.set_properties({"title": _cell(title)[:255], "created": datetime.strptime(printed_on, "%Y-%m-%d")})
    head = book.add_format({"bold": True, "text_wrap": True, "valign": "top", "bottom": 1})
    text = book.add_format({"text_wrap": True, "valign": "top"})
    numbers = {
        digits: book.add_format({"valign": "top", "num_format": f"0.{'0' * digits}" if digits else "0"})
        for digits in sorted({digits for table in tables for digits in table.digits})
    }
    for table in tables:
        sheet = book.add_worksheet(table.name)
        sheet.freeze_panes(1, 0)
        sheet.repeat_rows(0)
        sheet.set_landscape()
        sheet.set_paper(9)
        sheet.fit_to_pages(1, 0)
        sheet.set_header(f"&L{_in_header(title)}&R{_in_header(table.title)}")
        sheet.set_footer(f"&L{_in_header(printed_on)}&R&P / &N")
        rows = values(table)
        for column, (name, digits) in enumerate(zip(table.columns, table.digits, strict=True)):
            held = [_shown(row[column], digits) for row in rows]
            sheet.set_column(column, column, _width(name, held))
            sheet.write_string(0, column, name, head)
            for index, row in enumerate(rows, start=1):
                value = row[column]
                if isinstance(value, str):
                    if value:
                        sheet.write_string(index, column, _cell(value), text)
                elif value is not None:
                    sheet.write_number(index, column, value, numbers[digits])
        if rows:
            sheet.autofilter(0, 0, len(rows), len(table.columns) - 1)
    book.close()
    return out.getvalue()


def _cell(text: str) -> str:
    """A text as far as a cell holds it; longer ones end in three dots."""
    if len(text.encode("utf-16-le", "replace")) <= 2 * LONGEST:
        return text
    return text.encode("utf-16-le", "replace")[: 2 * LONGEST - 6].decode("utf-16-le", "ignore") + "..."


def _in_header(text: str) -> str:
    """A text in a header: one line, ampersands doubled, within what a header holds."""
    return " ".join(_NOT_IN_XML.sub("\ufffd", text).split())[:100].replace("&", "&&")


def _shown(value: Value, digits: int) -> str:
    return "" if value is None else value if isinstance(value, str) else f"{value:.{digits}f}"


def _width(header: str, held: Sequence[str]) -> float:
    """Characters wide enough for most of a column; a header may wrap between its words."""
    words = max((len(word) for word in header.split()), default=0)
    longest = max((len(line) for text in held for line in text.splitlines()), default=0)
    return min(max(words + 2, longest + 1, _LEAST), _WIDEST)
