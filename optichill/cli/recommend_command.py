"""`optichill recommend`: which coil to build, before buying anything."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import click

from optichill.cli.common import (
    NOTHING_FITS,
    brewhouse_argument,
    check_places,
    coil_option,
    columns,
    read_all,
    shared_options,
    study_option,
    to_type,
)
from optichill.cli.kept import Outcome, answered, cache_option
from optichill.cli.progress import progress

if TYPE_CHECKING:
    from optichill.api import ForSeveral, Problem, Recommendation
    from optichill.search.designs import Design

USUAL = 5
"""Builds that are worked out where nothing else is asked for."""


@click.command("recommend")
@brewhouse_argument
@click.option(
    "--top",
    type=click.IntRange(1, 50),
    help="Show so many builds, not only those with a reason of their own.",
)
@click.option("--tube", metavar="ID", help="Only this stock_id of tubing.csv.")
@click.option("--form", metavar="ID", help="Only this form_id of forms.csv.")
@click.option("--also", metavar="OTHER", multiple=True, help="One coil that serves this kettle too.")
@click.option(
    "--next-kettle", metavar="NEW", multiple=True, help="With regard for the kettle that is planned."
)
@click.option("--save-coil", metavar="FILE", help="Write the first build as a coil file.")
@coil_option("With --save-coil: the coil of this id instead of the first.", metavar="ID")
@study_option
@click.option("--full", is_flag=True, help="Also how it was found, all cautions, and more of each build.")
@cache_option
@shared_options
def command(
    brewhouse: str | None,
    top: int | None,
    tube: str | None,
    form: str | None,
    also: tuple[str, ...],
    next_kettle: tuple[str, ...],
    save_coil: str | None,
    coil: str | None,
    study: str | None,
    full: bool,
    json_file: str | None,
    units: str | None,
    seed: int,
    out: str,
    force: bool,
) -> int:
    """Ranked coils that can really be built for BREWHOUSE, with time, cost, water and work.

    BREWHOUSE is a file or a folder with brewhouse.toml; without it ./brewhouse.toml, else the packaged
    example. OTHER and NEW are such files or folders: kettle, wort, tap, plan, limits and batches are theirs;
    tube, forms and prices are those of BREWHOUSE's lists.
    """
    if coil is not None and save_coil is None:
        raise click.UsageError("--coil ID goes with --save-coil FILE: predict and sheet take it alone")
    if also and next_kettle:
        raise click.UsageError("--also and --next-kettle do not go together: give one of the two")
    if len(next_kettle) > 1:
        raise click.UsageError("--next-kettle twice: give the one kettle that comes next (--also takes many)")
    if study is not None and (tube or form or also or next_kettle):
        raise click.UsageError(
            "--study goes with none of --tube, --form, --also, --next-kettle: a study is of the whole lists "
            "and of one kettle"
        )
    besides = [*also, *next_kettle]
    check_places(brewhouse, out, json_file, force=force, save_coil=save_coil, besides=besides)
    planned, json = bool(next_kettle), json_file is not None
    asked = _Asked(brewhouse, besides, planned, top, tube, form, save_coil, coil, full, json, units, study)
    return answered(asked.outcome, asked.houses, keep=study is None)


@dataclass(frozen=True)
class _Asked:
    """What a command line asks for. besides : other kettles; planned : whether it is the one that comes
    next; json : whether the document is wanted; the rest as the command takes it."""

    brewhouse: str | None
    besides: list[str]
    planned: bool
    top: int | None
    tube: str | None
    form: str | None
    save_coil: str | None
    coil: str | None
    full: bool
    json: bool
    units: str | None
    study: str | None

    @property
    def houses(self) -> list[str | None]:
        """All brewhouses, as they were named."""
        return [self.brewhouse, *self.besides]

    def outcome(self) -> Outcome:
        """The answer, worked out."""
        from optichill import api

        problem, *others = read_all(self.houses, self.units)
        with progress("Searching") as tell:
            found = api.recommend(
                problem,
                top=self.top or USUAL,
                tube=self.tube,
                form=self.form,
                tell=tell,
                also=[] if self.planned else others,
                next_kettle=others[0] if self.planned else None,
                study=self.study,
            )
            chosen = found.find(self.coil) if self.coil is not None else None
        lines = found.lines(columns(), full=self.full, first=self.top, asked=self.top or USUAL)
        text, after = _saved(found, self.save_coil, chosen)
        return Outcome(
            status=0 if found.designs else NOTHING_FITS,
            lines=lines,
            document=api.dumps(found.to_dict()) if self.json else None,
            coil=text,
            ahead=self._without(found, others),
            after=after,
            goes_on=self._goes_on(found, problem, others) if found.designs else self._or_else(found),
        )

    def _or_else(self, found: Recommendation | ForSeveral) -> list[str]:
        """What to try where nothing fits: forms of other diameters, where room stands in the way."""
        from optichill import api
        from optichill.report.paper import entry, folded, whole

        if not isinstance(found, api.Recommendation) or self.study or not found.forms_may_help:
            return []
        ask = whole(to_type("explore", self.brewhouse))
        return ["", *folded(entry("NEXT", f"{ask}   tries forms of other diameters, to be made"), columns())]

    def _without(self, found: Recommendation | ForSeveral, others: list[Problem]) -> list[str]:
        """Which of the other kettles change nothing, and why."""
        from optichill import api

        plain = isinstance(found, api.Recommendation)
        regarded = () if isinstance(found, api.Recommendation) else found.others
        nothing = plain and not found.designs
        return [
            _left_out(name, planned=self.planned, nothing=nothing)
            for name, other in zip(self.besides, others, strict=True)
            if not any(other is one for one in regarded)
        ]

    def _goes_on(
        self, found: Recommendation | ForSeveral, problem: Problem, others: list[Problem]
    ) -> list[str]:
        """The commands that go on from here, below a blank line."""
        from optichill import api

        if isinstance(found, api.Recommendation):
            demo = problem.brewhouse.demo
            more = () if found.explored is None else ("--study", found.explored.typed)
            return ["", *_next(self.brewhouse, more, self.save_coil, demo=demo, full=self.full)]
        option = "--next-kettle" if self.planned else "--also"
        named = [part for other in self.besides for part in (option, other)]
        read = zip(self.houses, (problem, *others), strict=True)
        at = next(name for name, one in read if one is found.bench)
        return ["", *_keep(self.brewhouse, named, self.save_coil, at, found.bench_file)]


def _saved(
    found: Recommendation | ForSeveral, save_coil: str | None, chosen: Design | None
) -> tuple[str | None, list[str]]:
    """The coil file that is asked for, None where there is no coil; and what is said of it."""
    from optichill import api

    kept = chosen or found.to_keep
    if save_coil is None:
        return None, []
    if kept is None:
        plain = isinstance(found, api.Recommendation)
        return None, [f"{save_coil}: not written: no coil {'fits' if plain else 'serves all kettles'}"]
    said = f"saved {save_coil}: coil {chosen.id}" if chosen is not None else found.kept(save_coil)
    return found.coil_text(kept), [said]


def _left_out(name: str, *, planned: bool, nothing: bool) -> str:
    """Why another kettle that was named changes nothing; nothing : that no coil fits today."""
    if nothing:
        return f"{name}: left out, for nothing fits today: what helps comes first"
    if planned:
        return f"{name}: the same kettle but for its name: it changes nothing"
    return f"{name}: the same brewhouse once more: it counts once"


def _keep(
    brewhouse: str | None, named: list[str], save_coil: str | None, at: str | None, otherwise: tuple[str, ...]
) -> list[str]:
    """How to go on with a coil for several kettles: by its file, for a search for one kettle alone need not
    find it again. named : the other kettles as they were asked for; at : whose rim the risers are bent
    for, otherwise : what the file must say for it."""
    from optichill.report.paper import entry, folded

    coil = save_coil or "coil.toml"
    keep = to_type("recommend", brewhouse, *named, "--save-coil", coil)
    steps = [] if save_coil else [f"{keep}   keeps build 1 in a file"]
    copy = f", in a copy with {', '.join(otherwise)}" if otherwise else ""
    steps.append(f"{to_type('sheet', at, '--coil', coil)}   to the bench{copy}")
    return folded(entry("NEXT", *steps), columns())


def _next(
    brewhouse: str | None, study: tuple[str, ...], save_coil: str | None, *, demo: bool, full: bool
) -> list[str]:
    """The commands that go on from here; study : with which they are asked; full : all of them."""
    from optichill.report.paper import entry, folded

    def step(what: str, command: str, *more: str) -> str:
        study_too = () if command == "predict" else study  # its coil stands in a file
        return f"{to_type(command, brewhouse, *study_too, *more)}   {what}"

    mine = [f"{to_type('init')}   your own brewhouse file and lists, to edit"] if demo else []
    sheet = step("to the bench: marks, order of work, a template to print", "sheet", "--rank", "1")
    steps = [*(mine or [sheet]), step("all there is to say", "recommend", "--full")]
    if full:
        coil = save_coil or "coil.toml"
        keep = step("keeps build 1 in a file", "recommend", "--save-coil", coil)
        steps = [] if save_coil else [keep]
        steps.append(step("its cool-down", "predict", "--coil", coil))
        steps.append(sheet)
        steps.append(step("a page with all coils that nothing beats, to compare", "pareto"))
        steps += mine
    return folded(entry("NEXT", *steps), columns())
