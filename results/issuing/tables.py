"""Vials from a table."""

from dataclasses import dataclass


@dataclass
class VialsReport: ...


def import_vials() -> None: ...
