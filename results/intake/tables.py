"""Readings from a table."""

from dataclasses import dataclass


@dataclass
class TableReport: ...


def import_readings() -> None: ...
