"""Results of an assay as a table: one result a row."""

from dataclasses import dataclass

from results.policy.assay_boxes import AssayKind
from results.policy.tables import RowProblem, read_table

_KNOWN = ("vial", "iron_percent", "mass_g", "titre_mL", "set_aside")


@dataclass(frozen=True, slots=True)
class AssayTable:
    """Results as they stand in a table, still to be read as numbers.

    Attributes
    ----------
    kind : AssayKind or None
        By the columns; None if these make no sense.
    """

    kind: AssayKind | None
    rows: tuple[dict[str, str], ...]
    problems: tuple[RowProblem, ...]
    numbers: tuple[int, ...] = ()


def read_assay_table(content: bytes) -> AssayTable:
    r"""Read results from the bytes of a file, or from what was pasted.

    Columns are `vial` if it is known, and either `iron_percent` or `mass_g` and
    `titre_mL`; `set_aside` says why a result does not count.

    Examples
    --------
    >>> read_assay_table(b"vial;iron_percent\nA7K;12,04\n").rows
    ({'vial': 'A7K', 'iron_percent': '12,04'},)
    """
    table = read_table(content, required=(), known=_KNOWN)
    if table.problems:
        return AssayTable(None, (), table.problems)
    kind = None
    for one in (AssayKind.TITRATION, AssayKind.PERCENT):
        others = {"iron_percent", "mass_g", "titre_mL"} - set(one.columns)
        if set(one.columns) <= set(table.columns) and not others & set(table.columns):
            kind = one
    if kind is None:
        message = "The columns have to be iron_percent, or mass_g and titre_mL."
        return AssayTable(None, (), (RowProblem(1, "", message),))
    rows = tuple(dict(row.cells) for row in table.rows)
    return AssayTable(kind, rows, (), tuple(row.number for row in table.rows))
