"""Measure what the program costs, beside peers in the same run: ``python -m eval.bench [SUBSET ...]``.

Ways of one thing take turns, so that whatever else the machine does meets all of them; told are medians and the ratio
to one named peer, which is what may be compared between machines. Nothing is asserted. Run it from the repository.
``pip install ".[bench]"`` adds the rankings of others; what is absent is left out, with the reason.
"""

from __future__ import annotations

import argparse
import json
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from eval.bench.batch import batch
from eval.bench.cold import cold
from eval.bench.commands import commands
from eval.bench.figures import Figure, Skipped
from eval.bench.ground import SIZES, Ground
from eval.bench.growth import growth
from eval.bench.output import as_json, draw, table
from eval.bench.screen import screen
from eval.bench.slips import slips
from eval.bench.warm import warm

SUBSETS: dict[str, Callable[[Ground], Iterator[Figure | Skipped]]] = {
    "cold": cold,
    "warm": warm,
    "slips": slips,
    "batch": batch,
    "growth": growth,
    "screen": screen,
    "commands": commands,
}


def main(arguments: Sequence[str] | None = None) -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(prog="python -m eval.bench", description=__doc__)
    parser.add_argument("subsets", nargs="*", metavar="SUBSET", help=f"{', '.join(SUBSETS)}; all where none is named")
    parser.add_argument("--runs", type=int, default=10, metavar="N", help="how often each process is run (10)")
    parser.add_argument("--size", choices=SIZES, default="usual", help="how large things are made")
    parser.add_argument("--corpus", type=Path, default=Path("corpus"), metavar="DIR", help="the notes")
    parser.add_argument("--pack", type=Path, metavar="FILE", help="the pack of these notes, where there is one already")
    parser.add_argument("--questions", type=Path, default=Path("eval/questions.jsonl"), metavar="FILE")
    parser.add_argument("--json", type=Path, metavar="FILE", help="write the figures with all runs")
    parser.add_argument("--plot", type=Path, metavar="FILE", help="draw how costs grow (.png, .svg)")
    options = parser.parse_args(arguments)
    unknown = set(options.subsets) - set(SUBSETS)
    if unknown or options.runs < 1:
        parser.error(f"no subset {', '.join(sorted(unknown))}" if unknown else "--runs must be 1 or more")
    figures: list[Figure] = []
    skipped: list[Skipped] = []
    with tempfile.TemporaryDirectory() as folder:
        sizes = SIZES[options.size]
        ground = Ground(options.corpus, options.questions, Path(folder), sizes, options.runs, options.pack)
        for name in options.subsets or SUBSETS:
            print(f"{name} ...", file=sys.stderr)
            for found in SUBSETS[name](ground):
                if isinstance(found, Figure):
                    figures.append(found)
                else:
                    skipped.append(found)
    print(table(figures, skipped), end="")
    if options.json:
        options.json.write_text(json.dumps(as_json(figures, skipped), indent=1) + "\n", "utf-8")
    if options.plot and not draw(figures, options.plot):
        print("nothing was measured at several sizes: no plot", file=sys.stderr)


if __name__ == "__main__":
    main()
