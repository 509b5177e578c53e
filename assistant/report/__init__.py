"""A session as a page, a table or data."""
