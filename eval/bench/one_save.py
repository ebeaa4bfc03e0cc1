"""What one save costs under watch, in a process of its own: ``python eval/bench/one_save.py FOLDER PACK``.

The watch is begun, from what the pack learned where it was learned from the same notes. One note is changed and looked
at, also by the rules that hold notes against one another. The seconds of processor of the save alone are printed as
JSON; the folder is left as it was.
"""

from __future__ import annotations

import json
import sys
import time
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from assistant.checking.registry import all_rules
from assistant.compiling.settings import default_settings
from assistant.desk.watching import Watch


def main() -> None:
    """Watch, save, look, print."""
    root, pack = Path(sys.argv[1]), Path(sys.argv[2])
    path = min(root.glob("*/*.md"))
    before = path.read_text("utf-8")
    today = datetime.now(UTC).date()
    with closing(Watch(root, [], default_settings(), all_rules(), today, pack=pack)) as watch:
        try:
            path.write_text(before.replace("## Result\n\n", "## Result\n\nThe kickplate is quiet. "), "utf-8")
            began = time.process_time()
            look = watch.look()
            looked = time.process_time()
            watch.across(look.notes)
            print(json.dumps({"look": looked - began, "across": time.process_time() - looked}))
        finally:
            path.write_text(before, "utf-8")


if __name__ == "__main__":
    main()
