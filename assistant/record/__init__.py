"""The append-only journal and the session that its replay gives."""
