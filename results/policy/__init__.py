"""Rules: what is admitted, what is said, who may see what. No framework here."""
