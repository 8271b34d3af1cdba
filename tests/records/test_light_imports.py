import subprocess
import sys

PROBE = """
import importlib, pkgutil, sys
import floorboard.records
for found in pkgutil.iter_modules(floorboard.records.__path__):
    importlib.import_module("floorboard.records." + found.name)
heavy = {"numpy", "scipy", "pandas", "textual", "sqlite3", "ortools", "statistics"}
print(" ".join(sorted(heavy & set(sys.modules))))
"""


def test_the_records_load_without_numpy_or_anything_else_heavy() -> None:
    ran = subprocess.run([sys.executable, "-c", PROBE], capture_output=True, text=True, check=True)
    assert ran.stdout.split() == []
