"""What is declared, bounded and locked of the packages of others."""

from __future__ import annotations

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from importlib.metadata import packages_distributions
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name
from packaging.version import Version

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ROOT / ".locks"
WHOLE = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))
PROJECT = WHOLE["project"]
EXTRAS = {name: [Requirement(text) for text in texts] for name, texts in PROJECT["optional-dependencies"].items()}
BASE = [Requirement(text) for text in PROJECT["dependencies"]]
OWN = canonicalize_name(PROJECT["name"])
UNBOUNDED = {"packaging"}  # numbered by the year


def named(requirements: list[Requirement]) -> set[str]:
    return {str(canonicalize_name(requirement.name)) for requirement in requirements} - {OWN}


distributions = cache(packages_distributions)


@cache
def imported(folder: Path) -> tuple[tuple[str, str], ...]:
    return tuple(_imported(folder))


def _imported(folder: Path) -> Iterator[tuple[str, str]]:
    for path in folder.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text("utf-8"))):
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                modules = [node.module or ""]
            else:
                continue
            for module in modules:
                yield module.partition(".")[0], f"{path.relative_to(ROOT)}:{node.lineno}"


def undeclared(folder: Path, declared: set[str]) -> list[str]:
    own = {*sys.stdlib_module_names, "assistant", "eval", "tests"}
    return sorted(
        f"{place}: {module}"
        for module, place in imported(folder)
        if module not in own
        and not declared & {canonicalize_name(name) for name in distributions().get(module, [module])}
    )


def test_a_device_that_only_answers_installs_two_packages() -> None:
    assert named(BASE) == {"platformdirs", "pystemmer"}
    assert set(locked("base")) == {"platformdirs", "pystemmer"}


def test_what_is_imported_is_declared() -> None:
    shipped = named(BASE) | {name for extra in EXTRAS if extra != "test" for name in named(EXTRAS[extra])}
    assert undeclared(ROOT / "assistant", shipped) == []
    assert undeclared(ROOT / "eval", shipped | named(EXTRAS["test"])) == []
    assert undeclared(ROOT / "tests", shipped | named(EXTRAS["test"])) == []
    without = undeclared(ROOT / "assistant", shipped - {"numpy"})
    assert without
    assert all(line.endswith(": numpy") for line in without)


def test_what_is_declared_is_bounded_above() -> None:
    requirements = [*BASE, *(requirement for extra in EXTRAS.values() for requirement in extra)]
    open_above = {
        requirement.name
        for requirement in requirements
        if canonicalize_name(requirement.name) != OWN
        and not any(specifier.operator in ("<", "==") for specifier in requirement.specifier)
    }
    assert open_above == UNBOUNDED


def locked(name: str) -> dict[str, tuple[Version, int]]:
    """Return what a lock file pins, each with its number of hashes."""
    text = (LOCKS / f"{name}.txt").read_text("utf-8").replace("\\\n", " ")
    assert not re.search(r"://|--(?:index|extra|find|trusted)", text)
    found = {}
    for line in text.splitlines():
        pin = re.fullmatch(r"([a-z0-9-]+)==(\S+)(?: ; [^\\]*?)?((?:\s+--hash=sha256:[0-9a-f]{64})*)\s*", line)
        assert pin, line
        assert pin[1] not in found, line
        found[pin[1]] = (Version(pin[2]), pin[3].count("--hash"))
    return found


@pytest.mark.parametrize("name", ["base", "build", "tests"])
def test_lock_has_a_hash_of_everything_and_keeps_the_bounds(name: str) -> None:
    wanted = {
        "base": BASE,
        "build": [Requirement(text) for text in WHOLE["build-system"]["requires"]],
        "tests": [*BASE, *(requirement for extra in EXTRAS if extra != "bench" for requirement in EXTRAS[extra])],
    }[name]
    found = locked(name)
    assert named(wanted) <= set(found)
    assert all(hashes for _, hashes in found.values())
    for requirement in wanted:
        key = canonicalize_name(requirement.name)
        assert key == OWN or requirement.specifier.contains(found[key][0]), requirement
