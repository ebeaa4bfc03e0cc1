"""``assistant about``: packages and licences, and the bill of materials by its published schema."""

from __future__ import annotations

import importlib.util
import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from referencing import Registry, Resource

from assistant.cli.about import Package, bill_of_materials, installed_packages
from assistant.errors import UsageError
from tests.cli.conftest import Run

NAMES = {
    "Thing_App": "Requires-Dist: needed>=1\nRequires-Dist: thing-app[look] ; extra == 'all'\n"
    "Requires-Dist: Drawn.Lib[fast]<3 ; extra == 'look'\nRequires-Dist: absent ; extra == 'far'\n"
    "Requires-Dist: checker ; extra == 'test'\nProvides-Extra: look\nProvides-Extra: all\nProvides-Extra: far\n"
    "Provides-Extra: test\nLicense-Expression: MIT\n",
    "needed": "Requires-Dist: only-elsewhere; sys_platform == 'win32'\nRequires-Dist: checker; extra == 'docs'\n"
    "License: A\n of two lines\nClassifier: License :: OSI Approved :: MIT License\n",
    "drawn_lib": "Requires-Dist: quick (>=2) ; (python_version > '3') and extra == \"fast\"\nLicense: As is\n",
    "quick": "Requires-Dist: drawn-lib\n",
    "checker": "",
    "stranger": "",
}


@pytest.fixture
def installed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "site"
    for name, text in NAMES.items():
        info = folder / f"{name}-1.0+x.dist-info"
        info.mkdir(parents=True)
        (info / "METADATA").write_text(f"Metadata-Version: 2.4\nName: {name}\nVersion: 1.0+x\n{text}\n")
    monkeypatch.setattr(sys, "path", [str(folder), *sys.path])
    return folder


def shown(packages: list[Package]) -> Iterator[tuple[str, str, str, tuple[str, ...]]]:
    for package in packages:
        yield package.name, package.scope, package.licence, package.needs


def test_packages_are_those_that_are_needed_and_installed(installed: Path) -> None:
    assert list(shown(installed_packages("thing-app"))) == [
        ("Thing_App", "required", "MIT", ("checker", "drawn-lib", "needed")),
        ("checker", "excluded", "", ()),
        ("drawn_lib", "optional", "As is", ("quick",)),
        ("needed", "required", "MIT License", ()),
        ("quick", "optional", "", ("drawn-lib",)),
    ]


def test_an_extra_that_lacks_a_package_is_not_counted(installed: Path) -> None:
    (installed / "checker-1.0+x.dist-info").rename(installed / "checker.gone")
    assert [package.key for package in installed_packages("thing-app")] == [
        "thing-app",
        "drawn-lib",
        "needed",
        "quick",
    ]


def test_a_product_that_is_not_installed_is_refused(installed: Path) -> None:
    with pytest.raises(UsageError, match=r"^other-app is not installed .*: pip install"):
        installed_packages("other-app")


def validator() -> Any:
    """Return what checks by the JSON schema of CycloneDX 1.6, as the package cyclonedx-python-lib carries it."""
    spec = importlib.util.find_spec("cyclonedx.schema")
    assert spec
    assert spec.origin
    folder = Path(spec.origin).with_name("_res")
    names = ("bom-1.6.SNAPSHOT.schema.json", "spdx.SNAPSHOT.schema.json", "jsf-0.82.SNAPSHOT.schema.json")
    whole, *parts = (json.loads((folder / name).read_text("utf-8")) for name in names)
    resources = [(part["$id"], Resource.from_contents(part)) for part in (whole, *parts)]
    return jsonschema.Draft7Validator(whole, registry=Registry().with_resources(resources))


def test_bill_of_materials_is_valid_by_the_published_schema(run: Run) -> None:
    """CycloneDX 1.6 (ECMA-424), JSON schema."""
    check = validator()
    ran = run("about", "--format", "cyclonedx")
    assert (ran.code, ran.err) == (0, "")
    bill = json.loads(ran.out)
    check.validate(bill)
    assert bill["specVersion"] == "1.6"
    assert bill["metadata"]["component"]["name"] == "station-assistant"
    purls = [component["purl"] for component in bill["components"]]
    assert purls == sorted(purls, key=lambda purl: purl.partition("@")[0])
    assert {"platformdirs", "PyStemmer"} <= {component["name"] for component in bill["components"]}
    assert {edge["ref"] for edge in bill["dependencies"]} == {bill["metadata"]["component"]["bom-ref"], *purls}
    assert run("about", "--format", "cyclonedx").out == ran.out
    bill["components"][0]["scope"] = "perhaps"
    assert not check.is_valid(bill)


def test_every_way_to_state_a_licence_is_valid(installed: Path) -> None:
    """CycloneDX 1.6 (ECMA-424), JSON schema; package URLs as its "purl-spec" writes them: a plus sign as %2B."""
    product, *others = installed_packages("thing-app")
    bill = bill_of_materials(product, others)
    assert [component.get("licenses") for component in bill["components"]] == [
        None,
        [{"license": {"name": "As is"}}],
        [{"license": {"name": "MIT License"}}],
        None,
    ]
    assert bill["metadata"]["component"]["licenses"] == [{"expression": "MIT"}]
    assert bill["components"][1]["purl"] == "pkg:pypi/drawn-lib@1.0%2Bx"
    assert bill["dependencies"][0]["dependsOn"] == [
        f"pkg:pypi/{name}@1.0%2Bx" for name in ("checker", "drawn-lib", "needed")
    ]


def test_text_names_version_licence_and_what_is_lacking(installed: Path, run: Run, monkeypatch: Any) -> None:
    monkeypatch.setattr("assistant.cli.about.PRODUCT", "thing-app")
    with (installed / "quick-1.0+x.dist-info" / "METADATA").open("a") as file:
        file.seek(0)
        file.truncate()
        file.write("Name: quick\nVersion: 2\nLicense: \x1b[31mred\n")
    ran = run("about")
    assert (ran.code, ran.err) == (0, "")
    assert ran.out.splitlines()[0].startswith("Thing_App 1.0+x (MIT) on Python 3.")
    assert ran.out.splitlines()[1:] == [
        "Needed:",
        "  needed 1.0+x (MIT License)",
        "Needed by extras:",
        "  drawn_lib 1.0+x (As is)",
        "  quick 2 ([31mred)",
        "Needed by its tests alone:",
        "  checker 1.0+x (licence not stated)",
        "The extra far is not installed; it lacks absent",
    ]


WITHOUT_SCREEN = """
import sys

class Refuse:
    def find_spec(self, name, path=None, target=None):
        if name == "textual":
            raise ModuleNotFoundError(f"No module named {name!r}", name=name)

sys.meta_path.insert(0, Refuse())
from assistant.cli import main
main.has_terminal = lambda: True
main.main([])
"""


def test_the_screen_without_its_package_says_what_to_install_and_how_to_ask() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", WITHOUT_SCREEN], capture_output=True, text=True, env=os.environ, timeout=600, check=False
    )
    assert (ran.returncode, ran.stdout) == (2, "")
    assert ran.stderr == (
        "the screen needs the package 'textual': pip install \".[screen]\" in the folder of the program; without it, "
        'ask with: assistant ask "controller stick cap broken?"\n'
    )
