"""Words become statements: readings, contexts, observations, commands, notes."""
