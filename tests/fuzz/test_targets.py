"""Each target is handed a few inputs, and every one that was ever found."""

from __future__ import annotations

import json
from typing import Any

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from tests.fuzz.bench import Bench, Target
from tests.fuzz.targets import FOUND, TARGETS, kept_inputs

FEW = 15


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return Bench(tmp_path_factory.mktemp("fuzz"))


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name)
def test_refused_by_a_clear_line_or_right(bench: Bench, target: Target) -> None:
    for kept in kept_inputs(target.name):
        target.check(bench, kept)

    @settings(
        max_examples=FEW,
        derandomize=True,
        database=None,
        phases=(Phase.generate,),
        suppress_health_check=list(HealthCheck),
    )
    @given(target.inputs)
    def few(drawn: Any) -> None:
        target.check(bench, drawn)

    few()


def test_every_input_that_was_found_is_of_a_target_that_is_tried() -> None:
    named = {json.loads(path.read_text("utf-8"))["target"] for path in FOUND.glob("*.json")}
    assert named <= {target.name for target in TARGETS}
