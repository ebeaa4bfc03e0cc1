"""The terminal screen: the command without a name."""

from __future__ import annotations

import argparse
from functools import partial

from assistant.answering.assistant import Assistant
from assistant.cli.common import open_pack
from assistant.cli.output import answer_text
from assistant.errors import ExitCode
from assistant.tui.app import StationApp

__all__ = ["run"]

_SAVED_WIDTH = 80


def run(options: argparse.Namespace) -> int:
    """Open the pack, run the screen until it is left and return its exit code."""
    with open_pack(options) as pack:
        app = StationApp(Assistant(pack), partial(answer_text, width=_SAVED_WIDTH))
        code = app.run()
    return int(code if code is not None else app.return_code or ExitCode.DONE)
