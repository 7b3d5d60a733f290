"""The answers table as a file that a spreadsheet opens (RFC 4180)."""

import csv
from collections.abc import Iterable, Iterator, Mapping

from results.exports import ANSWER_COLUMNS


class _Line:
    """Hands back what a writer of CSV writes."""

    def write(self, line: str) -> str:
        return line


def csv_lines(rows: Iterable[Mapping[str, str]]) -> Iterator[str]:
    """Yield the head and each row as one line of CSV."""
    writer = csv.writer(_Line())
    yield writer.writerow(ANSWER_COLUMNS)
    for row in rows:
        yield writer.writerow([row[column] for column in ANSWER_COLUMNS])
