"""Grouping of what was not found, on questions whose writer saw neither the program nor the notes."""

from __future__ import annotations

from pathlib import Path

from sklearn.metrics import adjusted_rand_score

from assistant.desk.clusters import clusters
from assistant.desk.meaning import rows_of
from assistant.evaluation.groups import grouping_of, read_needs
from assistant.pack.reader import Pack

LABELS = Path(__file__).parents[2] / "eval/groups.jsonl"
LEAST_RAND = 0.70
"""The figure reached is in ``eval/README.md``; the margin is for notes that change."""


def test_groups_are_what_would_be_one_note(shipped_pack: Pack) -> None:
    labelled = read_needs(LABELS)
    rows = rows_of([one.question for one in labelled], shipped_pack)
    number_of = {place: number for number, members in enumerate(clusters(rows)) for place in members}
    numbers = [number_of[place] for place in range(len(labelled))]
    found = grouping_of(labelled, numbers)
    assert found.rand >= LEAST_RAND
    assert 30 <= found.groups <= 70
    shuffled = grouping_of(labelled, [*numbers[150:], *numbers[:150]])
    assert shuffled.rand < 0.1


def test_the_figure_is_the_librarys() -> None:
    """Source: scikit-learn, `adjusted_rand_score`, with needs and groups changed over."""
    labelled = read_needs(LABELS)
    firsts = sorted({one.question.split()[0] for one in labelled})
    by_first_word = [firsts.index(one.question.split()[0]) for one in labelled]
    found = grouping_of(labelled, by_first_word)
    assert abs(found.rand - adjusted_rand_score(by_first_word, [one.need for one in labelled])) < 1e-12
    pairs = [
        (one.need == other.need, mine == its)
        for place, (one, mine) in enumerate(zip(labelled, by_first_word, strict=True))
        for other, its in list(zip(labelled, by_first_word, strict=True))[:place]
    ]
    both = sum(need and group for need, group in pairs)
    assert (found.precision.k, found.precision.n) == (both, sum(group for _, group in pairs))
    assert (found.recall.k, found.recall.n) == (both, sum(need for need, _ in pairs))
