"""Lists as CSV (RFC 4180): UTF-8 with a mark that spreadsheets know it by, written row by row."""

import csv
from collections.abc import Iterable, Iterator

from django.http import StreamingHttpResponse

# What a spreadsheet would run as a formula. Source: OWASP, "CSV Injection".
FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
UTF8_MARK = "\ufeff"


class _Echo:
    """A file whose write hands the text back."""

    def write(self, text: str) -> str:
        return text


def safe(value: object) -> object:
    """Text a spreadsheet would take for a formula, made plain text by a ' before it."""
    if value is None:
        return ""
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return value


def lines(headers: Iterable[str], rows: Iterable[Iterable[object]]) -> Iterator[str]:
    """The file's lines, headers first."""
    writer = csv.writer(_Echo())
    yield UTF8_MARK + writer.writerow(headers)
    for row in rows:
        yield writer.writerow([safe(value) for value in row])


def attached(
    name: str, headers: Iterable[str], rows: Iterable[Iterable[object]]
) -> StreamingHttpResponse:
    """The file as an answer, to be kept as `name`.csv."""
    return StreamingHttpResponse(
        lines(headers, rows),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{name}.csv"'},
    )
