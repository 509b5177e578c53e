"""Pure functions over a session: findings, causes, the next check, proof of repair."""
