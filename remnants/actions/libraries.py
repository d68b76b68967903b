"""Whether the libraries are there in the versions that this program declares."""

import sys
import tomllib
from collections.abc import Iterable, Iterator
from importlib import metadata
from pathlib import Path

from packaging.requirements import Requirement
from packaging.specifiers import SpecifierSet

import remnants
from remnants.model.finding import Finding, Health

__all__ = ["libraries"]

_TESTS = "test"
"""The extra for who works on the program itself; it isn't looked at."""


def libraries() -> Iterator[Finding]:
    """Python, and each library that is declared: those of the plain program must be there, those of an extra may."""
    python, needs = _declared()
    if needs is None:
        told = "what this program needs can't be told: it is neither installed nor run from its own folder"
        yield Finding("libraries", Health.LOOK, told, "install it with pip")
        return
    own = sys.version.split()[0]
    if not python.contains(own, prereleases=True):
        yield Finding("Python", Health.MEND, f"{own}; it takes {python}", "install that Python, and this program anew with it")
    wrong = [(need, found) for need, extra in needs if (found := _wrong(need, must=not extra))]
    if wrong:
        told = "; ".join(f"{need.name} {found}, where {need.specifier} is needed" for need, found in wrong)
        what = " ".join(f"'{need.name}{need.specifier}'" for need, _ in wrong)
        yield Finding("libraries", Health.MEND, told, f"pip install {what}")
        return
    extras = sorted({extra for _, extra in needs if extra})
    whole = [extra for extra in extras if all(_version(need) for need, of in needs if of == extra)]
    lacking = [extra for extra in extras if extra not in whole]
    there = f"as declared; extras there: {', '.join(whole) or 'none'}"
    yield Finding("libraries", Health.OK, there + (f"; not there: {', '.join(lacking)}" if lacking else ""))


def _wrong(need: Requirement, *, must: bool) -> str:
    """What is wrong with a library: `is missing` where it must be there, its version where that is none that is declared."""
    version = _version(need)
    if version is None:
        return "is missing" if must else ""
    return "" if need.specifier.contains(version, prereleases=True) else version


def _version(need: Requirement) -> str | None:
    try:
        return metadata.version(need.name)
    except metadata.PackageNotFoundError:
        return None


def _declared() -> tuple[SpecifierSet, tuple[tuple[Requirement, str], ...] | None]:
    """The Pythons and the libraries that are declared, each with the extra that asks for it: by the folder that it is run from,
    else by what was installed."""
    file = Path(remnants.__file__).resolve().parent.parent / "pyproject.toml"
    try:
        project = tomllib.loads(file.read_text(encoding="utf-8"))["project"]
        if project["name"] == "remnants":
            return SpecifierSet(project["requires-python"]), tuple(_of_project(project))
    except (OSError, KeyError, ValueError):
        pass
    try:
        told = metadata.metadata("remnants")
    except metadata.PackageNotFoundError:
        return SpecifierSet(), None
    return SpecifierSet(told["Requires-Python"] or ""), tuple(_of_metadata(told.get_all("Requires-Dist") or ()))


def _of_project(project: dict[str, object]) -> Iterator[tuple[Requirement, str]]:
    plain, extras = project["dependencies"], project["optional-dependencies"]
    assert isinstance(plain, list) and isinstance(extras, dict)
    for extra, lines in {"": plain, **extras}.items():
        for line in lines if extra != _TESTS else ():
            yield Requirement(line), extra


def _of_metadata(lines: Iterable[str]) -> Iterator[tuple[Requirement, str]]:
    for need in map(Requirement, lines):
        _, _, extra = str(need.marker or "").partition('extra == "')
        if extra.rstrip('"') != _TESTS:
            yield need, extra.rstrip('"')
