"""What is asked of a library by name is there once the library alone is loaded, whatever else happened to load more of it."""

import ast
import json
import subprocess
import sys
from pathlib import Path

import pytest

CODE = Path(__file__).resolve().parent.parent.parent / "remnants"


def asked_of(library: str) -> dict[str, str]:
    """Each name that the code reads off a library, with a module that does."""
    found = {}
    for path in sorted(CODE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text if f"import {library}" in text else "")):
            if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == library:
                found[node.attr] = path.name
    return found


@pytest.mark.parametrize("library", ["shapely", "pyclipper", "highspy"])
def test_no_name_is_read_off_a_library_that_only_another_import_puts_there(library: str) -> None:
    """`shapely.prepared` is there only once somebody imported it: two patches on an L-shaped piece broke off without."""
    told = f"import {library}, json; print(json.dumps(dir({library})))"
    done = subprocess.run([sys.executable, "-c", told], capture_output=True, text=True, check=True)
    names, asked = set(json.loads(done.stdout)), asked_of(library)
    assert asked
    assert {name: module for name, module in asked.items() if name not in names} == {}
