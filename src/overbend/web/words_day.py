"""Texts of the steam day's pages, read at arm's length and in a hurry."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["DAY"]

DAY: Mapping[str, str] = {
    "day.title": "Steam day",
    "day.choose": "Which piece is steamed today?",
    "day.empty": "There is no piece here yet.",
    "day.back": "All pieces",
    "day.piece": "The piece",
    "day.offer": "What goes in today",
    "day.cold": "Nothing of this piece is steamed.",
    "day.nobox": "Describe your steam box on the page of the piece: then its day is planned.",
    "day.nothing": "Choose at least one part to steam.",
    "day.none": "there is no such steam day",
    "day.count": "How many bends of the {part}, up to {most}",
    "day.of": "of {most}",
    "day.minutes": "{minutes} min in the box",
    "day.holds": "the box holds {count} at a time",
    "day.days.proven": "about {days} days like this with the spares",
    "day.days.trial": "a trial first, then about {days} days like this",
    "day.begin": "Begin the day",
    "day.past": "Earlier days",
    "day.water": "{water} of water to boil away, a third of it reserve",
    "day.boiler": "Boiler {said}",
    "day.kind": "{wood}, {size}",
    "day.heat": "Its core is hot after {low} to {high} min; shops leave this thickness "
    "{practice} min.",
    "day.large": "too much at once",
    "day.garbled": "the page sent something that does not read",
    "day.noscript": "This page needs JavaScript, which it gets from your own machine only.",
    # one step at a time
    "day.cautions": "Before the first step",
    "day.cautions.done": "Read and understood",
    "day.fire": "Fill the boiler and heat it up",
    "day.fire.about": "Vent and drain open, door closed.",
    "day.fire.done": "It is on",
    "day.hot": "Wait for steady steam",
    "day.hot.about": "Steam comes from the vent and the box reads {hot}.",
    "day.hot.from": "from cold about {minutes} min",
    "day.hot.done": "The box is hot",
    "day.in": "Put in {what}",
    "day.in.now": "put it in now",
    "day.in.in": "goes in in",
    "day.in.late": "late by",
    "day.in.done": "It is in",
    "day.out": "{what} is in the box",
    "day.out.until": "take it out at {time}",
    "day.out.now": "Take it out now",
    "day.out.over": "in the box too long by",
    "day.out.aside": "Stand aside when opening. Gloves, sleeves down.",
    "day.out.done": "It is out",
    "day.out.early": "It is out already",
    "day.clamp": "{what} onto the form",
    "day.clamp.outside": "out of the box",
    "day.clamp.window": (
        "It bends freely for {low} with a wet surface, at most {high} with a dry one."
    ),
    "day.clamp.hands": "Your hands need about {loading}.",
    "day.clamp.holds": "holds: still hot",
    "day.clamp.close": "close: the outside may be stiff",
    "day.clamp.fails": "fails: too long outside, bend no further",
    "day.clamp.done": "Clamped",
    "day.shut": "Put the fire out",
    "day.shut.about": "Boiler off, box drained and open. Leave the bends clamped until they are "
    "dry.",
    "day.shut.done": "All is off",
    "day.piece.of": "{part} {number}",
    "day.strips": "the {count} strips of {part} {number}",
    "day.step": "Step {number} of {count}",
    "day.cracked": "cracked",
    "day.cracked.of": "{kind}: cracked",
    "day.uncrack": "not cracked after all",
    "day.note": "note",
    "day.note.label": "Note",
    "day.note.keep": "Keep the note",
    "day.note.close": "Close",
    "day.undo": "not done yet: go back a step",
    "day.bender": "Bender",
    "day.bender.all": "all",
    "day.inside": "In the box",
    "day.inside.left": "{time} to go",
    "day.inside.over": "take it out",
    "day.next": "Next: {what}",
    "day.all": "All steps",
    "day.done.at": "done {time}",
    "day.offline": "No connection. What you tick is kept on this device and sent later.",
    "day.waiting": "{count} not sent yet",
    "day.locked": "This device is no longer let in. What you ticked stays on it; ask for a code.",
    "day.refused": (
        "One thing kept on this device could not be read and was not taken. Look at all steps; "
        "what is missing there, tick or note again."
    ),
    "day.awake.no": "This browser cannot keep the screen on here: set the screen's timeout longer.",
    "day.awake.yes": "The screen stays on.",
    "day.over": "The day is over; its summary follows.",
    # the end
    "day.summary": "How it went",
    "day.result.steamed": "{minutes} min in the box",
    "day.result.outside": "{seconds} s from the box into the clamps, window {low} to {high} s",
    "day.result.unbent": "not bent",
    "day.result.whole": "{kind}: {whole} whole",
    "day.result.broken": "{kind}: {whole} whole, {broken} cracked",
    "day.keep": "Keep the results",
    "day.keep.about": (
        "What broke and what did not becomes trial bends in the shop's ledger, so that the next "
        "piece knows. Pressing twice adds nothing twice."
    ),
    "day.kept": "Trial bends in the ledger from this day: {count}.",
    "day.measure": "Measure the release",
    "day.measure.about": (
        "After taking a bend off its form, measure the straight distance between its trim marks, "
        "on the face that lay on the form. On the form it is {on_form}; at rest about {at_rest} is "
        "expected."
    ),
    "day.measure.after": "After {after}",
    "day.measure.of": "{part} {number}, {kind}",
    "day.measure.keep": "Keep what was measured",
    "day.measure.empty": "nothing is given that was measured",
    "day.measure.none": "nothing whole came of that bend",
    "day.another": "Begin another day",
    "day.trial.note": "{part}, steam day of {day}.",
    "day.trial.loose": "Bent together, not glued.",
}
"""Texts by key."""
