"""``assistant score groups``: how well unanswered questions are grouped by what would be one note."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Any

from assistant.cli.common import open_pack, say
from assistant.cli.scoring import add_shared, print_as
from assistant.errors import ExitCode

__all__ = ["add_groups"]


def add_groups(acts: Any) -> None:
    """Add ``groups`` to the sub-commands."""
    groups = acts.add_parser("groups", help="score the grouping of 'desk unanswered' on questions labelled by need")
    add_shared(groups, _groups)


def _groups(options: argparse.Namespace) -> int:
    from assistant.desk.clusters import clusters
    from assistant.desk.meaning import rows_of
    from assistant.evaluation.groups import grouping_json, grouping_of, grouping_text, read_needs

    labelled = sorted(read_needs(Path(options.eval, "groups.jsonl")), key=lambda one: one.question)
    with open_pack(options) as pack:
        rows = rows_of([one.question for one in labelled], pack, say)
    group_of = {place: number for number, members in enumerate(clusters(rows)) for place in members}
    found = grouping_of(labelled, [group_of[place] for place in range(len(labelled))])
    print_as(grouping_json(found), grouping_text(found), options)
    return ExitCode.DONE
