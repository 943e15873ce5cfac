"""Planned work that is kept or sent to another process."""

from __future__ import annotations

import pickle
from pathlib import Path

from own_coil import SIZES

import optichill as oc


def test_planned_work_can_be_pickled_whatever_was_asked_of_it(tmp_path: Path) -> None:
    """Also once its page was made, whose pictures are drawn when they are asked for; the page is the same."""
    work = oc.plan_work(SIZES, oc.read())
    page = work.save(tmp_path / "before.html").read_text(encoding="utf-8")
    again = pickle.loads(pickle.dumps(work))
    assert again.plan.coil_id == work.plan.coil_id and again.marks.rows == work.marks.rows
    after = again.save(tmp_path / "after.html").read_text(encoding="utf-8")
    assert after == page.replace("before.pdf", "after.pdf")
    assert len(work._sheets) == 1  # its own is still there
