"""Alembic's folder: how the index came to its present form, step by step."""
