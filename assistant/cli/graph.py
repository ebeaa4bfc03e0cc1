"""``assistant corpus graph``: where the notes lead, and where they should not."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from assistant.cli.common import add_places, notes_folder, with_extra
from assistant.errors import ExitCode

__all__ = ["add_graph"]


def add_graph(acts: argparse._SubParsersAction[argparse.ArgumentParser]) -> None:
    """Add the sub-command."""
    graph = acts.add_parser(
        "graph",
        help="show where the notes lead: circles, dead ends without power, counts",
        description="Show where the notes lead: closed circles, dead ends without power, and counts.",
    )
    graph.add_argument("--format", choices=("text", "json"), default="text", help="form of what is printed")
    graph.add_argument("--svg", metavar="FILE", help="also write a picture of the notes and where they lead")
    add_places(graph, argparse.SUPPRESS)
    graph.set_defaults(run=with_extra("the graph of notes", _graph))


def _graph(options: argparse.Namespace) -> int:
    from assistant.checking.graph import build
    from assistant.checking.graph_picture import graph_svg
    from assistant.checking.graph_report import graph_json, graph_report, graph_text
    from assistant.checking.trade_words import read_words
    from assistant.notes.corpus import read_corpus
    from assistant.notes.writing import write_whole

    root = notes_folder(options)
    corpus = read_corpus(root)
    report = graph_report(corpus, read_words(root))
    if options.svg:
        path = Path(options.svg)
        write_whole(path, graph_svg(build(corpus), corpus.trade))
        print(f"{path}: written", file=sys.stderr)
    print(graph_json(report) if options.format == "json" else "\n".join(graph_text(report)))
    return ExitCode.DONE
