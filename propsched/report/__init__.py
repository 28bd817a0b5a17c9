"""A plan as something to keep: tables, text, pictures."""
