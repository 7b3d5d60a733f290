"""Actions on unknowns: taking vials into the book, and issuing them to groups."""

from results.issuing.tables import VialsReport, import_vials
from results.issuing.vials import issue_vial

__all__ = ["VialsReport", "import_vials", "issue_vial"]
