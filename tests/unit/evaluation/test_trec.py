"""Runs and judgements as text."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.errors import AssistantError
from assistant.evaluation.trec import run_name, trec_files, trec_qrels, trec_run

NAMES = st.text("abc-01", min_size=1, max_size=4)


def test_the_lines_of_a_run_and_of_judgements() -> None:
    assert trec_run({"q2": {"b": 1.0, "a": 5.0}, "q1": {"c": 0.1}}, "ours") == (
        "q1 Q0 c 1 1 ours\nq2 Q0 a 1 2 ours\nq2 Q0 b 2 1 ours\n"
    )
    assert trec_qrels({"q2": {"b": 1}, "q1": {"d": 0, "c": 2}}) == "q1 0 c 2\nq1 0 d 0\nq2 0 b 1\n"


@given(st.dictionaries(NAMES, st.dictionaries(NAMES, st.floats(-9, 9), max_size=8), max_size=4))
def test_scores_fall_strictly_in_our_order(run: dict[str, dict[str, float]]) -> None:
    rows = [line.split(" ") for line in trec_run(run, "t").splitlines()]
    assert {(topic, document) for topic, _, document, *_ in rows} == {(t, d) for t, found in run.items() for d in found}
    for topic, found in run.items():
        mine = [row for row in rows if row[0] == topic]
        scores = [float(row[4]) for row in mine]
        assert scores == sorted(set(scores), reverse=True)
        assert [int(row[3]) for row in mine] == list(range(1, len(found) + 1))
        assert [found[row[2]] for row in mine] == sorted(found.values(), reverse=True)


def test_files_are_named_by_their_rankings() -> None:
    files = trec_files({"q": {"a": 1}}, {"TF-IDF cosine, stems": {"q": {"a": 1.0}}, "as shown": {}})
    assert files == {
        "qrels.txt": "q 0 a 1\n",
        "tf-idf-cosine-stems.run": "q Q0 a 1 1 tf-idf-cosine-stems\n",
        "as-shown.run": "",
    }
    assert run_name("../..") == "run"


def test_two_rankings_of_one_name_are_refused() -> None:
    with pytest.raises(AssistantError, match=r"a-b\.run: two rankings"):
        trec_files({}, {"a b": {}, "A, B": {}})


@pytest.mark.parametrize("name", ["", "two words", "tab\there", "line\nbreak"])
def test_ids_that_the_form_cannot_hold_are_refused(name: str) -> None:
    with pytest.raises(AssistantError, match="cannot stand in a run"):
        trec_run({"q": {name: 1.0}}, "t")
    with pytest.raises(AssistantError, match="cannot stand in a run"):
        trec_qrels({name: {"d": 1}})
