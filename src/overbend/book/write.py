"""Write the folder for the bench."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass
from datetime import date
from functools import partial
from pathlib import Path
from typing import TypeAlias

from overbend.book.blocks import Block, reworded
from overbend.book.boards_csv import board_lists
from overbend.book.chapters.bench import bench_page
from overbend.book.chapters.boards import boards_chapter
from overbend.book.chapters.closing import cautions_chapter, sources_chapter
from overbend.book.chapters.overview import overview
from overbend.book.chapters.part import part_sheet
from overbend.book.chapters.piece import marking_chapter, piece_chapter
from overbend.book.chapters.risk import risk_page
from overbend.book.chapters.shave import shave_blocks
from overbend.book.chapters.steam import steam_chapter
from overbend.book.chapters.strips import strip_rows, strips_chapter
from overbend.book.chapters.suggest import suggest_section
from overbend.book.folder import MARK, replaced_whole
from overbend.book.pdf import pdf_bytes
from overbend.book.say import Say
from overbend.book.us_units import names_of
from overbend.book.words import METHOD_WORDS, TRIAL_FORM, TRIAL_FORM_WHY
from overbend.draw.drawing import Drawing
from overbend.draw.dxf import to_dxf
from overbend.draw.form_sheet import form_template, part_template
from overbend.draw.glb import piece_glb
from overbend.draw.joint_sheet import piece_templates
from overbend.draw.legible import cleared
from overbend.draw.svg import to_svg
from overbend.draw.tile_plan import PaperName
from overbend.draw.tiles import tiles_pdf
from overbend.draw.views import ViewName, view_drawing
from overbend.plan import BentPlan, Cutting, Plan, plan_data
from overbend.units import format_length

__all__ = ["Written", "book_blocks", "stamp_of", "templates_of", "write_book"]

Step = Callable[[str, int, int], None]

_HANDS = 3  # threads: one may look for boards while two set templates

_VIEW_SCALE = 0.2
"""Scale of the piece's views as files; their DXF is full size."""


@dataclass(frozen=True)
class Written:
    """What was written.

    Parameters
    ----------
    folder : where.
    files : names in it, sorted.
    holds : what waits for the maker.
    fails : what does not work, with the reason.
    """

    folder: Path
    files: tuple[str, ...]
    holds: tuple[str, ...]
    fails: tuple[str, ...] = ()


def write_book(
    plan: Plan,
    out: Path,
    *,
    paper: PaperName | None = None,
    step: Step | None = None,
) -> Written:
    """Compute everything and write the folder, whole or not at all.

    Parameters
    ----------
    plan : the plan; its display says in which units.
    out : folder to write or replace.
    paper : "a4", "a3" or "letter"; None: the project's.
    step : called with what is being done, steps done and steps in all.

    Raises
    ------
    OutputError
        When the folder cannot be written.
    """
    paper = paper or plan.project.shop.paper
    show = step or _silent
    with replaced_whole(out) as folder, ThreadPoolExecutor(_HANDS) as press:
        jobs = list(_jobs(plan, paper, press))
        setting: list[tuple[Path, Future[bytes]]] = []
        for done, (what, job) in enumerate(jobs):
            show(what, done, len(jobs))
            for name, data in job():
                place = folder / name
                place.parent.mkdir(parents=True, exist_ok=True)
                if isinstance(data, Future):
                    setting.append((place, data))
                else:
                    place.write_bytes(data)
        for place, pdf in setting:
            place.write_bytes(pdf.result())
        show("done", len(jobs), len(jobs))
        files = sorted(str(p.relative_to(folder)) for p in folder.rglob("*") if p.is_file())
    say = Say(plan.display, names_of(plan.loaded.raw))
    fails = tuple(
        say.words(f"{judged.part or 'shop'}, {judged.what}: {judged.text}")
        for judged in plan.verdicts
        if judged.word == "fails"
    )
    return Written(out, tuple(files), tuple(say.words(hold.text) for hold in plan.holds), fails)


def _silent(_what: str, _done: int, _of: int) -> None:
    """Show nothing."""


Files: TypeAlias = Iterator[tuple[str, bytes | Future[bytes]]]
Job = Callable[[], Files]


def _jobs(plan: Plan, paper: PaperName, press: Executor) -> Iterator[tuple[str, Job]]:
    """What there is to do, in order, so that progress can be shown.

    Templates are set and boards are searched by `press` while the next drawing is made: the
    typesetter and the search need few turns of the interpreter.
    """
    boards = bool(plan.project.shop.yard or plan.shop_state.boards)
    search: list[Future[Cutting | None]] = []
    for part in plan.bent.values():
        yield f"bending {part.name}", partial(_computed, part)
    if boards:
        yield "what to saw", partial(_search_begun, plan, press, search)
    for part in plan.bent.values():
        yield (
            f"templates of {part.name}",
            partial(_template_files, part, paper, stamp_of(plan), press),
        )
    if plan.piece.bodies:
        yield "the piece", partial(_piece_files, plan, paper, press)
    if boards:
        currency = plan.project.shop.currency
        yield "boards and cuts", lambda: board_lists(search[0].result(), currency)
    yield "lists", lambda: _lists(plan)
    yield "the book", lambda: _book(plan, paper)


def _computed(part: BentPlan) -> Files:
    """Compute a part; it writes nothing yet."""
    _ = (part.band, part.form, part.strips)
    yield from ()


def _search_begun(plan: Plan, press: Executor, search: list[Future[Cutting | None]]) -> Files:
    """Gather what is to be cut and leave the search for boards to another thread."""
    _ = plan.to_cut
    search.append(press.submit(lambda: plan.cutting))
    yield from ()


def stamp_of(plan: Plan) -> str:
    """What every template carries, to tell one print from an earlier one."""
    file = plan.loaded.path.name if plan.loaded.path else "a text"
    return f"{plan.project.name}, {file} {plan.fingerprint}, {date.today()}"


def templates_of(part: BentPlan, stamp: str = "") -> dict[str, Drawing]:
    """Full-size drawings of a part by file name: its form's bodies and itself at rest.

    A form that is made already is not drawn again.

    Parameters
    ----------
    part : the part.
    stamp : piece, file and date, written on each drawing.
    """
    trial = not part.set.proven
    bodies = len(part.form.parts)
    made = {
        f"{part.name}-form" + (f"-{i + 1}" if bodies > 1 else ""): form_template(
            part, i, trial, stamp
        )
        for i in range(bodies if part.made.form is None else 0)
    }
    drawings = {**made, f"{part.name}-at-rest": part_template(part, stamp)}
    return {name: cleared(drawing, 1.0) for name, drawing in drawings.items()}


def _template_files(part: BentPlan, paper: PaperName, stamp: str, press: Executor) -> Files:
    about = f"{part.count} of {part.name} to make, {METHOD_WORDS[part.part.method]}."
    notes = [] if part.set.proven else [f"{TRIAL_FORM}. {TRIAL_FORM_WHY}"]

    def length_text(mm: float) -> str:
        return format_length(mm, part.display)

    for name, drawing in templates_of(part, stamp).items():
        at_rest = part.set.proven or name.endswith("-at-rest")
        pdf = press.submit(
            tiles_pdf,
            drawing,
            paper,
            about=about,
            notes=[] if at_rest else notes,
            length_text=length_text,
            stamp=stamp,
            warning="" if at_rest else TRIAL_FORM,
        )
        yield f"templates/{name}.pdf", pdf
        yield f"templates/{name}.dxf", to_dxf(drawing)
        yield f"templates/{name}.svg", to_svg(drawing, theme="print").encode()


def _piece_files(plan: Plan, paper: PaperName, press: Executor) -> Files:
    """Story sticks and fillers at full size, the views, and the piece as a 3-D model."""
    piece = plan.piece

    def length_text(mm: float) -> str:
        return format_length(mm, plan.display)

    for name, drawing in piece_templates(piece, plan.display).items():
        pdf = press.submit(tiles_pdf, drawing, paper, length_text=length_text, stamp=stamp_of(plan))
        yield f"templates/{name}.pdf", pdf
    views: tuple[ViewName, ...] = ("side", "front", "plan")
    for view in views:
        drawing = view_drawing(piece, view, _VIEW_SCALE, plan.display)
        yield f"piece/{view}.svg", to_svg(drawing, _VIEW_SCALE, theme="print").encode()
        yield f"piece/{view}.dxf", to_dxf(drawing, _VIEW_SCALE)
    yield "piece/piece.glb", piece_glb(piece)


def _lists(plan: Plan) -> Files:
    text = io.StringIO(newline="")
    csv.writer(text).writerows(strip_rows(plan))
    yield "lists/strips.csv", text.getvalue().encode()
    yield MARK, json.dumps(plan_data(plan), indent=1).encode()
    yield "project.toml", plan.loaded.text.encode()


def book_blocks(plan: Plan) -> list[Block]:
    """Every page of the book, in order."""
    say = Say(plan.display, names_of(plan.loaded.raw))
    blocks = overview(plan, say)
    blocks += piece_chapter(plan, say)
    for part in plan.bent.values():
        blocks += part_sheet(part, say)
        blocks += risk_page(part, say)
        if part.risk.strain.verdict.word != "holds":
            blocks += suggest_section(part, say)
        blocks += shave_blocks(part, say)
    for name, part in plan.bent.items():
        blocks += bench_page(part, plan.steamed.get(name), say)
    blocks += steam_chapter(plan, say)
    blocks += marking_chapter(plan, say)
    if plan.bent:
        blocks += strips_chapter(plan, say)
    return [
        *_worded(blocks, say),
        *boards_chapter(plan, say),
        *_worded([*cautions_chapter(plan), *sources_chapter(plan, say)], say),
    ]


def _worded(blocks: list[Block], say: Say) -> list[Block]:
    """Blocks as their reader wants figures; boards, which carry the yard's names, are left out."""
    return blocks if say.unit == "mm" else [reworded(block, say.words) for block in blocks]


def _book(plan: Plan, paper: PaperName) -> Files:
    name = plan.loaded.path.name if plan.loaded.path else "a text"
    footer = f"{name}, {plan.fingerprint}"
    yield "book.pdf", pdf_bytes(book_blocks(plan), plan.project.name, footer, paper)
