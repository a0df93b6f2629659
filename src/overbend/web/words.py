"""Every text of the page in English, in one place.

A second language is a second mapping with the same keys. Values are named in braces.
"""

from __future__ import annotations

from collections.abc import Mapping

from overbend.web.words_curve import CURVE
from overbend.web.words_cutting import CUTTING
from overbend.web.words_day import DAY
from overbend.web.words_piece import PIECE
from overbend.web.words_shop import SHOP

__all__ = ["ENGLISH", "words"]

_PAGE: Mapping[str, str] = {
    "lang": "en",
    "app": "Overbend",
    "guard.locked": "This page opens with the link that “overbend serve” prints.",
    "guard.host": "This server does not answer to that name.",
    "guard.origin": "This server answers its own pages only.",
    "guard.site": "Another site may not ask for this.",
    "guard.large": "Too large: 5 MB at most.",
    "served": "The page is at\n  {link}\nProjects are in {folder}. Stop with Ctrl+C.",
    "shelf.title": "Pieces",
    "shelf.empty": "Nothing here yet. Start from an example below, and make it yours.",
    "shelf.folder": "In {folder}",
    "shelf.new": "A new piece",
    "shelf.from": "Start from",
    "shelf.name": "Call it",
    "shelf.start": "Start",
    "shelf.copy": "Copy",
    "shelf.rename": "Rename the file",
    "shelf.delete": "Delete",
    "shelf.more": "Copy, rename, delete",
    "shelf.to": "New file name",
    "shelf.trashed": "{name} lies in the folder “{folder}” now; move it back to restore it.",
    "shelf.unreadable": "cannot be read",
    "shelf.changed": "changed {when}",
    "example.hearth-rocker": "Hearth rocker: laminated rockers, steam-bent slats and crest",
    "example.ladder-back": "Ladder-back chair: steam-bent rear posts and slats, solid wood",
    "example.low-stool": "Low stool: two arches laminated cold, in inches",
    "example.slatted-bench": "Slatted bench: thirteen ribs steamed, then laminated",
    "page.name": "Name of the piece",
    "page.units": "Units",
    "page.theme": "Paper",
    "page.light": "light",
    "page.dark": "dark",
    "page.undo": "undo",
    "page.redo": "redo",
    "page.pieces": "Pieces",
    "page.book": "Make the book",
    "page.skip": "Skip to the notes",
    "page.drawing": "The drawing",
    "page.notes": "Notes",
    "page.view.curve": "drawn",
    "page.view.sheet": "with sizes",
    "page.view.form": "on its form",
    "page.view.all": "all parts",
    "page.views": "What is drawn",
    "page.parts": "Part",
    "page.count": "{count} off",
    "page.connecting": "opening",
    "page.offline": "The server does not answer. Nothing typed is lost; trying again.",
    "page.saved": "saved",
    "page.saved.ago": "saved {ago} ago",
    "page.unsaved": "not saved yet",
    "page.noscript": "This page needs JavaScript, which it gets from this machine only.",
    "page.more": "more",
    "page.less": "less",
    "page.waits": "Waits for you: {what}",
    "page.waits.more": "and {count} more",
    "page.working": "working",
    "page.failed": "This could not be computed.",
    "key.line": "solid: at rest",
    "key.form": "dashes: on the form",
    "key.band": "hatched: nine in ten come to lie here",
    "notice.other": "Changed in another tab: {what}.",
    "notice.disk": "The file was changed by another program and taken in. Undo brings yours back.",
    "notice.conflict": (
        "The file was changed here and by another program at once. Yours is in the file; the "
        "other one lies beside it as {file}."
    ),
    "notice.unsaved": "The file cannot be written: {why}",
    "notice.gone": "The file was moved or deleted by another program; it was written again.",
    "notice.text": "The text was changed elsewhere since you began. Yours is not in the file yet.",
    "notice.text.mine": "Use mine",
    "notice.text.theirs": "Take the other",
    "notice.close": "Close",
    "change.text": "the text",
    "change.undo": "undone",
    "change.redo": "done again",
    "change.disk": "the file on disk",
}

_DRAWINGS: Mapping[str, str] = {
    "word.holds": "holds",
    "word.close": "close",
    "word.fails": "fails",
    "scene.title": "{part}, as drawn",
    "scene.about": "Chord {chord}, rise {rise} at rest; chord {form} on its form.",
    "scene.form": "on the form",
    "scene.rest": "at rest",
    "scene.none": "Nothing is bent in this piece yet.",
    "strip.title": "{part}: how tightly the governing strip bends along its form",
    "strip.about": "It {word}; this strip takes a radius of {radius}.",
    "strip.straight": "straight",
    "strip.holds": "holds below",
    "strip.fails": "half break",
    "handle.point": "Point {number}: {place} {unit}",
    "handle.line": "End of line {number}: {size} long",
    "handle.ease": "End of easement {number}: {size} long",
    "handle.radius": "Middle of arc {number}: radius {size}",
    "handle.angle": "End of arc {number}: {size}",
    "handle.held": "held by {value}",
    "handle.held.todo": "change the expression, or type a number in its place",
    "handle.none": "the curve has no such handle any more",
}

_SECTIONS: Mapping[str, str] = {
    "section.curves": "Curves",
    "section.bends": "Bends",
    "section.steam": "Steam",
    "section.forms": "Forms",
    "section.boards": "Strips",
    "section.book": "The book",
    "section.file": "The file",
    "trouble.part": "{part} cannot be computed: {why}",
    # curves
    "curves.lead": (
        "The {part} is {length} long and bends to {radius} at its tightest, {at} from its "
        "reference end."
    ),
    "curves.straight": "The {part} is {length} long and straight.",
    "curves.line": "The curve draws its {line} line.",
    "curves.line.label": "Which line the curve draws",
    "curves.middle": "middle",
    "curves.outside": "outside",
    "curves.inside": "inside",
    "curves.sizes": "Chord {chord}, rise {rise}, {turn} between the ends.",
    "curves.points": "Points it runs through",
    "curves.point": "Point",
    "curves.right": "To the right",
    "curves.up": "Up",
    "curves.point.x": "Point {number}, to the right",
    "curves.point.y": "Point {number}, up",
    "curves.segments": "Segments",
    "curves.segment": "Segment",
    "curves.size": "Size",
    "curves.then": "And",
    "curves.name": "Its end is called",
    "curves.kind.line": "line",
    "curves.kind.arc": "arc",
    "curves.kind.easement": "easement",
    "curves.label.line": "Length of line {number}",
    "curves.label.radius": "Radius of arc {number}",
    "curves.label.angle": "Angle of arc {number}",
    "curves.label.ease": "Length of easement {number}",
    "curves.label.from": "Radius at the start of easement {number}",
    "curves.label.to": "Radius at the end of easement {number}",
    "curves.label.name": "Name of the end of segment {number}",
    "curves.to": "to",
    "curves.file": "Read from the drawing {file}.",
    "curves.add": "add one after",
    "curves.remove": "take out",
    "curves.add.label": "Add one after {number}",
    "curves.remove.label": "Take out {number}",
    "curves.import": "Use a drawing instead",
    "curves.import.file": "Drawing",
    "curves.import.send": "Use it",
    "curves.import.done": "The part follows {file} now.",
    "curves.shared": "Also the curve of {parts}.",
    # bends
    "bends.lead": (
        "{strips} relax by {share}: bent to a {size} of {form}, the {part} comes off at "
        "{released} ({band})."
    ),
    "bends.lead.one": (
        "One piece of {strips} relaxes by {share}: bent to a {size} of {form}, the {part} comes "
        "off at {released} ({band})."
    ),
    "bends.strips": "{count} strips of {thickness}",
    "bends.chord": "chord",
    "bends.rise": "rise",
    "bends.verdict": (
        "{who} {does} by {strain} {place}, where its radius is {radius}. It holds up to {holds} "
        "and breaks more often than not from {fails}."
    ),
    "bends.cure": (
        "Wood this thick holds down to a radius of {tightest}; at this radius up to {thickest} "
        "holds."
    ),
    "bends.nothing": "Nothing is bent.",
    "bends.who": "Strip {number} of {count} from the outside",
    "bends.who.one": "It",
    "bends.stretches": "stretches",
    "bends.squeezed": "is squeezed",
    "bends.at": "at {at}",
    "bends.fromto": "from {at} to {end}",
    "bends.method": "The {part} is {method}; {count} to make, {width} wide.",
    "bends.method.label": "Method",
    "bends.method.solid": "one piece, steamed",
    "bends.method.laminate": "laminated cold",
    "bends.method.steam-laminate": "steamed, then laminated",
    "bends.count.label": "How many to make",
    "bends.width.label": "Finished width",
    "bends.stack": "Strips, outside in",
    "bends.wood": "Wood",
    "bends.thickness": "Thickness",
    "bends.alike": "Alike",
    "bends.stiff": "Stiffness",
    "bends.ply.wood": "Wood of row {number}",
    "bends.ply.thickness": "Thickness of row {number}",
    "bends.ply.count": "Strips in row {number}",
    "bends.set.none": "Bent cold: the strips keep nothing of the bend by themselves.",
    "bends.set": (
        "Set, the share of the bend a strip keeps by itself: {median} ({low} to {high}); {source}."
    ),
    "bends.shapes": "Sizes of the middle line",
    "bends.row.chord": "Chord",
    "bends.row.rise": "Rise",
    "bends.row.turn": "Angle between the ends",
    "bends.row.radius": "Tightest radius",
    "bends.row.length": "Length",
    "bends.col.rest": "At rest",
    "bends.col.form": "On the form",
    "bends.col.released": "Released",
    "bends.col.band": "Nine in ten",
    "bends.relax": "From form to rest: the hatched band holds nine in ten",
    "bends.strain": "The strip that governs, along the form",
    "bends.scatter": (
        "Parts off one form agree at the far end within {one} (nine in ten); a shop that has not "
        "tried this wood may be off by {shop}."
    ),
    "bends.adhesive": "Glued with {adhesive}.",
    "bends.adhesive.label": "Adhesive",
    "bends.made": "The form is made: parts come off up to {misfit} from the drawing.",
    # boards
    "boards.mill": "Mill {mill} strips of {wood} for {good}, {size}.",
    "boards.unknown": "How many strips of {wood} to mill for {good} is not known: {why}",
    "boards.chance": (
        "That leaves enough in {confidence} batches of 100, with {board} strips from a board "
        "agreeing with each other."
    ),
    "boards.confidence.label": "Chance that enough are left, of 100",
    "boards.board.label": "Strips from one board",
    "boards.allowances": (
        "Length holds {trim} of trim at each end, width {width} for cleaning up, thickness "
        "{planer} for the planer; the saw takes {kerf}."
    ),
    "boards.trim.label": "Trim at each end",
    "boards.width.label": "Added to the width",
    "boards.planer.label": "Taken off by the planer",
    "boards.kerf.label": "Saw kerf",
    "boards.wood": "Wood",
    "boards.good": "Good",
    "boards.millhead": "Mill",
    "boards.doubt": "If the figures are off",
    "boards.length": "Length",
    "boards.width": "Width",
    "boards.thickness": "Thickness",
    "boards.sawn": "Before planing",
    "boards.caption": "In {unit}. Strips that break are counted, cutting waste is not.",
    "boards.dry": "{wood} is {species}, {dried}, at {moisture}.",
    "boards.moisture.label": "Moisture of {wood}",
    "boards.dried.label": "How {wood} was dried",
    "boards.dried.kiln": "kiln-dried",
    "boards.dried.air": "air-dried",
    "boards.total": "In all: {volume} of {wood} in the strips, before kerf and waste.",
    "boards.rests": "What that rests on",
    # steam
    "steam.lead": (
        "The {part} stays in the box for {minutes}. Its core reaches {target} after {low} to "
        "{high}; shops leave this thickness {practice} min."
    ),
    "steam.loading": "{reason}.",
    "steam.minutes.label": "Minutes in the box, empty to have them computed",
    "steam.core.label": "Core temperature",
    "steam.computed": "{minutes} min",
    "steam.box": "The box is {length} by {width} by {height} inside, steam at {hot}.",
    "steam.box.length": "Inside length of the box",
    "steam.box.width": "Inside width of the box",
    "steam.box.height": "Inside height of the box",
    "steam.box.hot": "Temperature of the steam",
    "steam.nobox": (
        "Describe your steam box, and the loads, the water and the timetable are computed too."
    ),
    "steam.run": "The box is hot for {hours}; {water} litres boil away, half in reserve.",
    "steam.heating": "Core in the box",
    "steam.cooling": "Out of the box",
    "steam.help": "What would help",
    "steam.help.loading": "Loading",
    "steam.help.window": "Window",
    "steam.moisture": "Moisture",
    "steam.into": "Into the box",
    "steam.out": "Out of it",
    "steam.air": "The shop's air holds it at",
    "steam.glue": "Down to {percent} % for gluing",
    "steam.dry": "Dry on the form",
    "steam.soak": "Soak to {percent} %",
    "steam.about": "about {mid} % ({low} to {high})",
    "steam.never": "never: {why}",
    "steam.once": "at once",
    "steam.hours": "{low} to {high} hours",
    "steam.days": "{low} to {high} days",
    "steam.people": "People at the form: {people}.",
    "steam.people.label": "People at the form",
    # forms
    "forms.lead": (
        "{bodies} of {length} by {height}, {layers} layers of {sheet}; {clamps} clamps, "
        "no more than {gap} apart."
    ),
    "forms.body": "One body",
    "forms.bodies": "Two bodies, the first",
    "forms.trial": "Trial form",
    "forms.trial.why": (
        "Bend one, measure what comes off and record it, then make the book again before you cut "
        "the rest."
    ),
    "forms.check": "Check it with a rule: chord {chord}, rise {rise}, along the face {along}.",
    "forms.side": "The part lies on the form with its {side} face; {bodies}.",
    "forms.side.label": "Face that lies on the form",
    "forms.side.concave": "hollow",
    "forms.side.convex": "round",
    "forms.parts.label": "Halves of the form",
    "forms.parts.1": "one form and clamps",
    "forms.parts.2": "two halves that close",
    "forms.sizes": (
        "It runs {run} straight beyond the wood, with a {liner} liner and a {strap} strap."
    ),
    "forms.run.label": "Straight run beyond the part",
    "forms.liner.label": "Thickness of the liner",
    "forms.strap.label": "Thickness of the strap",
    "forms.sheet.label": "Thickness of the sheets",
    "forms.marks": "Marks along the face",
    "forms.mark": "Mark",
    "forms.along": "Along the face",
    # book
    "book.lead": "Everything here as a folder for the bench: the book, templates, lists.",
    "book.make": "Make the book",
    "book.busy": "{what} ({done} of {of})",
    "book.done": "{files} files in {folder}.",
    "book.pdf": "Open the book",
    "book.zip": "Download the folder",
    "book.single": "Templates singly, full size",
    "book.pdf.short": "PDF",
    "book.dxf.short": "DXF",
    "book.svg.short": "SVG",
    "book.template": "Template",
    "book.form": "{part}: form",
    "book.form.half": "{part}: form, half {number}",
    "book.rest": "{part}: at rest",
    "book.lists": "Lists",
    "book.csv": "strips as CSV",
    "book.json": "everything computed, as JSON",
    "book.toml": "the project file",
    # file
    "file.lead": "Every value of the project file, as fields or as text; both are the same file.",
    "file.text": "The text",
    "file.fields": "Everything in the file",
    "file.text.label": "Text of the project file",
    "file.text.good": "Reads well.",
    "file.add": "add",
    "file.add.name": "Name of a new {table}",
    "file.empty": "left out",
    "file.remove": "Take out {what}",
    "file.list.add": "Add to {what}",
}

ENGLISH: Mapping[str, str] = {
    **_PAGE,
    **_DRAWINGS,
    **_SECTIONS,
    **CURVE,
    **PIECE,
    **CUTTING,
    **DAY,
    **SHOP,
}


def words(key: str, **values: object) -> str:
    """Text under a key with its values filled in.

    Raises
    ------
    KeyError
        When the language lacks the text or a value is missing.

    Examples
    --------
    >>> words("page.saved.ago", ago="12 s")
    'saved 12 s ago'
    """
    return ENGLISH[key].format(**values)
