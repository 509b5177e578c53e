"""The tool itself: what it makes of a few lines, and that what no test notices is told."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

from tests.mutants.faults import faults, mutants

CODE = '''"""Two of three lines are tested."""

MOST = 3


def few(many: int) -> bool:
    return many < MOST


def name(many: int) -> str:
    return "few" if few(many) else "many"
'''
TEST = """from counted import few


def test_it() -> None:
    assert few(2)
    assert not few(3)
"""


def test_every_fault_is_put_in_and_taken_out_again(tmp_path: Path) -> None:
    tree = ast.parse(CODE)
    for fault in faults(tree):
        fault.apply()
        assert ast.unparse(tree) != ast.unparse(ast.parse(CODE))
        fault.undo()
        assert ast.unparse(tree) == ast.unparse(ast.parse(CODE))
    (tmp_path / "counted.py").write_text(CODE)
    made = [(m.before.strip(), m.after.strip()) for m in mutants(str(tmp_path / "counted.py"))]
    assert ("many < MOST", "many <= MOST") in made
    assert ("MOST = 3", "MOST = 4") in made
    assert not [after for _, after in made if "tested" in after]


def test_what_no_test_notices_is_told(tmp_path: Path) -> None:
    code, test = tmp_path / "counted.py", tmp_path / "test_counted.py"
    code.write_text(CODE)
    test.write_text(TEST)
    command = [sys.executable, "-m", "tests.mutants.run", str(code), "--tests", str(test)]
    command += ["--out", str(tmp_path / "lived.jsonl")]
    told = subprocess.run(command, capture_output=True, text=True, check=True).stdout
    *_, last = told.splitlines()
    assert last.endswith(f" of {len(list(mutants(str(code))))} are noticed by no test.")
    lived = [line for line in told.splitlines() if line.startswith(str(code))]
    assert lived
    assert {line.split(":")[1] for line in lived} == {"11"}
