"""A maker's bench for printed pages: what they do with eyes, knife and tape, done on rasters.

Nothing here knows the plan. Pages come from the PDF as grey pictures; frames, register
marks and check bars are found in the pictures; the only text read is the page's name.
All positions are millimetres on the page, y up.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

import numpy as np
import pypdfium2 as pdfium
from scipy import ndimage

DARK = 110  # grey below this is ink; frames and cut lines are paler
ARM, RING = 5.0, 3.0  # mm, of a register mark


@dataclass(frozen=True)
class Page:
    """A page as found."""

    name: str
    grey: np.ndarray
    px: np.ndarray  # mm across and up
    frame: tuple[float, float, float, float]
    marks: np.ndarray
    ink: np.ndarray


def read_pages(pdf: bytes, dpi: int = 300) -> list[Page]:
    """All pages but the map."""
    return [look_at(name, grey, px) for name, grey, px in rasters(pdf, dpi)[1:]]


def rasters(pdf: bytes, dpi: int) -> list[tuple[str, np.ndarray, np.ndarray]]:
    """Name, grey picture and the size of a pixel across and up [mm] of every page.

    The rasteriser stretches a page to whole pixels, so the two sizes differ a little.
    """
    document = pdfium.PdfDocument(pdf)
    pages = []
    for page in document:
        text = page.get_textpage().get_text_range()
        name = re.findall(r"^([A-Z]{1,2}\d+)\s*$", text, re.MULTILINE)
        grey = page.render(scale=dpi / 72, grayscale=True).to_numpy()
        grey = grey.reshape(grey.shape[:2]).copy()
        px = np.array(page.get_size()) * 25.4 / 72 / grey.shape[::-1]
        pages.append((name[-1] if name else "", grey, px))
    document.close()
    return pages


def look_at(name: str, grey: np.ndarray, px: np.ndarray) -> Page:
    frame = find_frame(grey, px)
    found, count = ndimage.label(grey < DARK, structure=np.ones((3, 3)))
    marks, ink = [], []
    for k, (rows, columns) in enumerate(ndimage.find_objects(found)[:count], start=1):
        high, wide = (rows.stop - rows.start) * px[1], (columns.stop - columns.start) * px[0]
        part = found[rows, columns] == k
        mark = read_mark(grey, part, rows, columns, px) if max(high, wide) < 11.0 else None
        if mark is not None:
            marks.append(mark)
        elif max(high, wide) > 4.0:
            r, c = np.nonzero(part)
            ink.append(np.column_stack([c + columns.start, r + rows.start]))
    xy = to_mm(np.concatenate(ink), grey, px)
    x0, y0, x1, y1 = frame
    inside = (xy[:, 0] > x0) & (xy[:, 0] < x1) & (xy[:, 1] > y0) & (xy[:, 1] < y1)
    return Page(name, grey, px, frame, np.array(marks), xy[inside])


def to_mm(pixels: np.ndarray, grey: np.ndarray, px: np.ndarray) -> np.ndarray:
    """Centres of pixels (column, row) on the page."""
    right, up = pixels[:, 0] + 0.5, grey.shape[0] - pixels[:, 1] - 0.5
    return np.column_stack([right * px[0], up * px[1]])


def find_frame(grey: np.ndarray, px: np.ndarray) -> tuple[float, float, float, float]:
    """Outermost long grey lines."""
    pale = (grey > DARK) & (grey < 235)
    columns = np.flatnonzero(pale.sum(axis=0) > 0.5 * grey.shape[0])
    rows = np.flatnonzero(pale.sum(axis=1) > 0.5 * grey.shape[1])
    corners = to_mm(np.array([[columns[0], rows[-1]], [columns[-1], rows[0]]]), grey, px)
    return tuple(corners.ravel().tolist())


def read_mark(grey, part, rows, columns, px):
    """Centre of a ringed cross from the middle of its arms, None if it is none."""
    if np.abs(part.shape * px[::-1] - 2 * ARM).max() > 0.4:
        return None
    ink = 255.0 - grey[rows, columns].astype(float)
    tip = round((ARM - RING - 0.5) / px[0])
    ends = [ink[:tip].sum(axis=0), ink[-tip:].sum(axis=0)]
    x = np.mean([middle(e) for e in ends])
    y = np.mean([middle(e) for e in (ink[:, :tip].sum(axis=1), ink[:, -tip:].sum(axis=1))])
    turn = np.linspace(0, 2 * math.pi, 60, endpoint=False)
    ring = ndimage.map_coordinates(
        ink, [y + RING / px[1] * np.sin(turn), x + RING / px[0] * np.cos(turn)], order=1
    )
    if (ring > 90).mean() < 0.9:
        return None
    spot = np.array([[x + columns.start, y + rows.start]])
    return to_mm(spot, grey, px)[0]


def middle(profile: np.ndarray) -> float:
    """Centre of the darkest run of a profile, to a fraction of a pixel."""
    peak = int(profile.argmax())
    near = np.arange(max(0, peak - 4), min(len(profile), peak + 5))
    weight = profile[near] - profile[near].min()
    return float((weight * near).sum() / weight.sum())


def bars(page: Page) -> tuple[float, float]:
    """Lengths of the two check bars, across and up [mm], from the fall of grey at their ends."""
    x0, y0, _, _ = page.frame
    high = page.grey.shape[0]
    ink = 255.0 - page.grey.astype(float)
    below = ink[high - round((y0 - 0.5) / page.px[1]) :]
    beside = ink[:, : round((x0 - 0.5) / page.px[0])]
    return _bar(below, page.px[0]), _bar(beside.T, page.px[1])


def _bar(strip: np.ndarray, px: float) -> float:
    """Length of the one solid bar that runs along a strip."""
    found, _ = ndimage.label(strip > 255 - DARK, structure=np.ones((3, 3)))
    sizes = [s for s in ndimage.find_objects(found) if s[1].stop - s[1].start > 60 / px]
    assert len(sizes) == 1
    rows, columns = sizes[0]
    box = strip[rows, columns.start - 6 : columns.stop + 6]
    profile = box.sum(axis=0)
    level = np.median(profile[20:-20]) / 2
    left = int(np.argmax(profile > level))
    right = len(profile) - 1 - int(np.argmax(profile[::-1] > level))
    a = left - (profile[left] - level) / (profile[left] - profile[left - 1])
    b = right + (profile[right] - level) / (profile[right] - profile[right + 1])
    return (b - a) * px


def place_of(name: str) -> tuple[int, int]:
    letters, number = re.fullmatch(r"([A-Z]+)(\d+)", name).groups()
    row = 0
    for letter in letters:
        row = 26 * row + ord(letter) - ord("A") + 1
    return row - 1, int(number) - 1


def edge_marks(page: Page, side: str) -> np.ndarray:
    """Marks that stand near one side of the frame, in order along it."""
    x0, y0, x1, y1 = page.frame
    axis, edge = {"left": (0, x0), "right": (0, x1), "top": (1, y1), "bottom": (1, y0)}[side]
    near = page.marks[np.abs(page.marks[:, axis] - edge) < 9.0]
    return near[np.argsort(near[:, 1 - axis])]


def rigid(a: np.ndarray, b: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Turn and shift that best lay points a on points b, without stretching."""
    ca, cb = a.mean(axis=0), b.mean(axis=0)
    u, _, vt = np.linalg.svd((a - ca).T @ (b - cb))
    turn = (u @ np.diag([1.0, np.linalg.det(u @ vt)]) @ vt).T
    return turn, cb - turn @ ca


def join(pages: list[Page], seed: int = 7) -> tuple[dict[str, np.ndarray], float]:
    """Throw all but the first page on the bench, then lay them together by their marks.

    Returns the ink of each page where it came to lie, and the worst misfit of a mark [mm].
    """
    rng = np.random.default_rng(seed)
    thrown = {place_of(p.name): (p, *_throw(rng)) for p in pages}
    start = place_of(pages[0].name)
    thrown[start] = (pages[0], np.eye(2), np.zeros(2))
    laid = {start: (np.eye(2), np.zeros(2))}
    edge, worst = [start], 0.0
    sides = {(0, 1): ("right", "left"), (0, -1): ("left", "right"),
             (1, 0): ("bottom", "top"), (-1, 0): ("top", "bottom")}  # fmt: skip

    def seen(place: tuple[int, int], side: str) -> np.ndarray:
        page, turn, shift = thrown[place]
        return edge_marks(page, side) @ turn.T + shift

    while edge:
        here = edge.pop(0)
        turn, shift = laid[here]
        for step, (mine, theirs) in sides.items():
            there = (here[0] + step[0], here[1] + step[1])
            if there not in thrown:
                continue
            under, over = seen(here, mine) @ turn.T + shift, seen(there, theirs)
            assert len(under) == len(over) == 2
            if there not in laid:
                laid[there] = rigid(over, under)
                edge.append(there)
            t, s = laid[there]
            worst = max(worst, float(np.hypot(*(over @ t.T + s - under).T).max()))
    assert set(laid) == set(thrown)
    ink = {}
    for place, (t, s) in laid.items():
        page, turn, shift = thrown[place]
        ink[page.name] = (page.ink @ turn.T + shift) @ t.T + s
    return ink, worst


def _throw(rng: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    angle = rng.uniform(-math.pi, math.pi)
    c, s = math.cos(angle), math.sin(angle)
    return np.array([[c, -s], [s, c]]), rng.uniform(-500, 500, 2)
