"""Finished values for pages, API and exports; read-only, no records leave here."""
