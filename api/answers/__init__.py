"""What the API answers, field by field."""
