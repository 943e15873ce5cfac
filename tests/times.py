"""Seconds per test file, the dearest first, from the XML files that `pytest --junitxml=FILE` writes.

Each test counts with its fixtures, on whichever core it ran: the sum is more than the clock on the wall.
"""

from __future__ import annotations

import sys
from collections import Counter
from xml.etree import ElementTree


def seconds_per_file(*reports: str) -> Counter[str]:
    """Time of every test file [s], added up over the reports."""
    found: Counter[str] = Counter()
    for report in reports:
        for case in ElementTree.parse(report).iter("testcase"):
            found[case.get("classname", "").replace(".", "/") + ".py"] += float(case.get("time", 0.0))
    return found


if __name__ == "__main__":
    seconds = seconds_per_file(*sys.argv[1:])
    for file, time in seconds.most_common():
        print(f"{time:8.1f} s  {file}")
    print(f"{seconds.total():8.1f} s  in all")
