"""``assistant about``: version, and what is installed of what it needs, with licences; also as a bill of materials."""

from __future__ import annotations

import argparse
import json
import platform
import re
from collections.abc import Iterator, Sequence
from importlib.metadata import Distribution, PackageNotFoundError, distribution
from typing import Any, NamedTuple
from urllib.parse import quote

from assistant.analysis.tokens import printable
from assistant.errors import ExitCode, UsageError

__all__ = ["Package", "add_arguments", "bill_of_materials", "installed_packages", "run"]

PRODUCT = "station-assistant"
_FOR_DEVELOPERS = frozenset({"bench", "test"})
_HEADINGS = {"required": "Needed", "optional": "Needed by extras", "excluded": "Needed by its tests alone"}
_REQUIREMENT = re.compile(r"\s*([\w.-]+)\s*(?:\[([^\]]*)\])?")
_EXTRA = re.compile(r"""extra\s*==\s*['"]([^'"]+)['"]""")
_CLASSIFIER = "License :: "


class Package(NamedTuple):
    """One installed package; ``scope`` and ``licence`` are in the words of CycloneDX and SPDX.

    ``expression`` tells whether the licence is an SPDX expression; ``needs`` are keys of other packages.
    """

    key: str
    name: str
    version: str
    licence: str
    expression: bool
    scope: str
    needs: tuple[str, ...]


class _Need(NamedTuple):
    """A package that another one needs, with extras of it; ``by`` holds the other's extras, or an empty name."""

    key: str
    extras: tuple[str, ...]
    by: tuple[str, ...]


class _Installed:
    """The packages of this Python, each looked up once."""

    def __init__(self) -> None:
        self._found: dict[str, Distribution | None] = {}
        self._named: dict[str, list[_Need]] = {}

    def find(self, key: str) -> Distribution | None:
        """Return a package, None where it is not installed."""
        if key not in self._found:
            try:
                self._found[key] = distribution(key)
            except (PackageNotFoundError, ValueError):
                self._found[key] = None
        return self._found[key]

    def extras(self, key: str) -> list[str]:
        """Return the names of a package's extras."""
        found = self.find(key)
        return sorted(_key(extra) for extra in found.metadata.get_all("Provides-Extra") or ()) if found else []

    def lacking(self, root: str, extra: str) -> list[str]:
        """Return what an extra of a package names and what is not installed."""
        lacking: set[str] = set()
        for need in self._needs(root, extra):
            if need.key == root:
                lacking.update(*(self.lacking(root, inner) for inner in need.extras))
            elif self.find(need.key) is None:
                lacking.add(need.key)
        return sorted(lacking)

    def reached(self, root: str, extras: Sequence[str]) -> dict[str, tuple[str, ...]]:
        """Return the keys of all packages that the extras of ``root`` lead to, each with the keys that it needs."""
        edges: dict[str, set[str]] = {}
        waiting = [(root, extra) for extra in extras]
        seen: set[tuple[str, str]] = set()
        while waiting:
            key, extra = waiting.pop()
            if (key, extra) in seen:
                continue
            seen.add((key, extra))
            needs = [need for need in self._needs(key, extra) if self.find(need.key)]
            edges.setdefault(key, set()).update(need.key for need in needs if need.key != key)
            waiting += [(need.key, wanted) for need in needs for wanted in ("", *need.extras)]
        return {key: tuple(sorted(needed)) for key, needed in edges.items()}

    def _needs(self, key: str, extra: str) -> list[_Need]:
        """Return what an extra of a package names; the empty name stands for what it always needs."""
        if key not in self._named:
            found = self.find(key)
            self._named[key] = [_need(text) for text in (found.requires if found else None) or ()]
        return [need for need in self._named[key] if extra in need.by]


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument(
        "--format",
        choices=("text", "cyclonedx"),
        default="text",
        help="cyclonedx prints a bill of materials, CycloneDX 1.6 as JSON",
    )


def run(options: argparse.Namespace) -> int:
    """Tell about the program and what it needs."""
    product, *others = installed_packages(PRODUCT)
    if options.format == "cyclonedx":
        print(json.dumps(bill_of_materials(product, others), indent=1))
    else:
        print("\n".join(_lines(product, others)))
    return ExitCode.DONE


def installed_packages(product: str) -> list[Package]:
    """Return a product and all installed packages that it needs: itself first, then by name.

    An extra counts where all that it names is installed. A package that another names only for other machines
    counts where it is installed nevertheless: markers of the machine are not weighed.

    Raises
    ------
    UsageError
        If the product itself is not installed.
    """
    installed, root = _Installed(), _key(product)
    if installed.find(root) is None:
        raise UsageError(f"{product} is not installed for this Python, so what it needs is not known: pip install .")
    extras = [extra for extra in installed.extras(root) if not installed.lacking(root, extra)]
    reached = installed.reached(root, ["", *extras])
    optional = installed.reached(root, ["", *(extra for extra in extras if extra not in _FOR_DEVELOPERS)])
    scopes = dict.fromkeys(reached, "excluded") | dict.fromkeys(optional, "optional")
    scopes |= dict.fromkeys(installed.reached(root, [""]), "required")
    return [
        _package(found, key, scopes[key], reached[key])
        for key in sorted(reached, key=lambda key: (key != root, key))
        if (found := installed.find(key))
    ]


def bill_of_materials(product: Package, others: Sequence[Package]) -> dict[str, Any]:
    """Return CycloneDX 1.6; the same packages give the same, so that it holds neither time nor serial number."""
    return {
        "bomFormat": "CycloneDX",
        "specVersion": "1.6",
        "version": 1,
        "metadata": {"component": {"type": "application", **_component(product)}},
        "components": [
            {"type": "library", **_component(other), "scope": other.scope, "purl": _reference(other)}
            for other in others
        ],
        "dependencies": list(_dependencies(product, others)),
    }


def _component(package: Package) -> dict[str, Any]:
    found: dict[str, Any] = {"bom-ref": _reference(package), "name": package.name, "version": package.version}
    if package.expression:
        found["licenses"] = [{"expression": package.licence}]
    elif package.licence:
        found["licenses"] = [{"license": {"name": package.licence}}]
    return found


def _reference(package: Package) -> str:
    return f"pkg:pypi/{package.key}@{quote(package.version, safe='')}"


def _dependencies(product: Package, others: Sequence[Package]) -> Iterator[dict[str, Any]]:
    references = {package.key: _reference(package) for package in (product, *others)}
    for package in (product, *others):
        yield {"ref": references[package.key], "dependsOn": [references[key] for key in package.needs]}


def _lines(product: Package, others: Sequence[Package]) -> Iterator[str]:
    yield _line(product) + f" on Python {platform.python_version()}"
    for scope, heading in _HEADINGS.items():
        here = [other for other in others if other.scope == scope]
        if here:
            yield f"{heading}:"
        yield from (f"  {_line(other)}" for other in here)
    installed = _Installed()
    for extra in installed.extras(product.key):
        if extra not in _FOR_DEVELOPERS and (lacking := installed.lacking(product.key, extra)):
            yield printable(f"The extra {extra} is not installed; it lacks {', '.join(lacking)}")


def _line(package: Package) -> str:
    return printable(f"{package.name} {package.version} ({package.licence or 'licence not stated'})")


def _need(text: str) -> _Need:
    requirement, _, marker = text.partition(";")
    read = _REQUIREMENT.match(requirement)
    name, extras = read.groups("") if read else ("", "")
    by = tuple(_key(extra) for extra in _EXTRA.findall(marker)) or ("",)
    return _Need(_key(name), tuple(_key(extra) for extra in extras.split(",") if extra.strip()), by)


def _key(name: str) -> str:
    return re.sub(r"[-_.]+", "-", name.strip()).lower()


def _package(found: Distribution, key: str, scope: str, needs: tuple[str, ...]) -> Package:
    licence, expression = _licence(found)
    return Package(key, found.name, found.version, licence, expression, scope, needs)


def _licence(found: Distribution) -> tuple[str, bool]:
    """Return the licence as the package states it, and whether that is an SPDX expression."""
    expression = found.metadata.get_all("License-Expression")
    if expression:
        return expression[0], True
    stated = [line for line in found.metadata.get_all("Classifier") or () if line.startswith(_CLASSIFIER)]
    if stated:
        return ", ".join(line.rpartition(" :: ")[2] for line in stated), False
    text = (found.metadata.get_all("License") or [""])[0].strip()
    return text.partition("\n")[0], False
