"""Hears an archive of recordings again, with the ears as they are now, on one machine or many."""
