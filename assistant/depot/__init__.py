"""All sessions of a depot: an index made from the journals, and what a supervisor does with it."""
