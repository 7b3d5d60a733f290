"""Records of lots, as a coordinator enters them."""

from results import issuing
from results.policy.assay_boxes import AssayKind
from results.policy.assays import AssayRecord, AssayRow
from tests.factories import NOW

TITRANT = {
    "titrant": "dichromate",
    "titrant_mol_L": 0.0166,
    "u_titrant_mol_L": 0.00002,
    "blank_mL": 0.05,
    "burette_limit_mL": 0.05,
    "balance_u_g": 0.0002,
    "method_sd": None,
    "method_df": None,
}
SHARED = {"u_shared_percent": 0.1, "method_sd": None, "method_df": None}
MAKE_UP = {
    "formula": "Fe(NH4)2(SO4)2(H2O)6",
    "iron_fraction": 0.142416,
    "salt_g": 420.0,
    "purity": 0.998,
    "u_purity": 0.001,
    "diluent_g": 78.0,
    "water_percent": 0.0,
    "u_water_percent": 0.0,
    "balance_u_g": 0.02,
}


def percents(*values, vials=(), **basis):
    """Results in % iron, of vials if some are named."""
    vials = vials or [""] * len(values)
    rows = tuple(
        AssayRow(vial=vial, iron_percent=value)
        for value, vial in zip(values, vials, strict=True)
    )
    return AssayRecord(AssayKind.PERCENT, SHARED | basis, rows, NOW)


def titrations(*pairs, **basis):
    """Titrations, each a mass in g and a titre in mL."""
    rows = tuple(AssayRow(mass_g=mass, titre_mL=titre) for mass, titre in pairs)
    return AssayRecord(AssayKind.TITRATION, TITRANT | basis, rows, NOW)


def make_up(**basis):
    return AssayRecord(AssayKind.MAKE_UP, MAKE_UP | basis, (), NOW)


def enter(lot, record, who, **fields):
    """Enter a record of a lot; return its number."""
    done = issuing.record_assay(
        lot.course.code, lot.pk, record, actor=who, now=NOW, **fields
    )
    return done.assay_id
