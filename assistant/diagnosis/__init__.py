"""Pure functions over a session: findings, causes, the next check, proof of repair."""

from assistant.diagnosis.diagnose import diagnose
from assistant.diagnosis.finding import Cause, Diagnosis, Finding, NextCheck, RepairProof

__all__ = ["Cause", "Diagnosis", "Finding", "NextCheck", "RepairProof", "diagnose"]
