"""Run one command and write down what it cost: a small process of its own between the benchmark and what it measures.

The system counts into the peak memory of a process what its starter held, so that a starter that has read a hundred
thousand chunks must not start it. Run as ``python -I -S launch.py REPORT COMMAND...``; REPORT becomes JSON.
"""

import json
import os
import sys
import time


def main() -> None:
    """Start, wait, write."""
    report, *command = sys.argv[1:]
    began = time.perf_counter()
    _, status, used = os.wait4(os.posix_spawnp(command[0], command, os.environ), 0)
    wall = time.perf_counter() - began
    kilobytes = used.ru_maxrss / 1024 if sys.platform == "darwin" else used.ru_maxrss
    cost = {
        "code": os.waitstatus_to_exitcode(status),
        "wall": wall,
        "cpu": used.ru_utime + used.ru_stime,
        "peak": kilobytes / 1024,
    }
    with open(report, "w", encoding="utf-8") as stream:  # noqa: PTH123 - pathlib would make this process larger
        json.dump(cost, stream)


main()
