"""Texts of the shop's pages: shelves, trial bends, what they teach, phones."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["SHOP"]

_DOORS: Mapping[str, str] = {
    "guard.far": "A device that was let in sees the steam day only.",
    "guard.far.large": "Too large for another device: 300 kB at most.",
    "served.lan": (
        "Phones and tablets in this network, for the steam day only:\n  {places}\n"
        "  code {code}, for one device, within ten minutes. More codes: “Phones” on the page.\n"
        "The connection is not encrypted: only on a network you trust."
    ),
    "served.nowhere": "this machine is in no network now",
    "phones.title": "Phones and tablets",
    "phones.off": (
        "The server answers this machine only. Start it with “overbend serve --lan” to let a "
        "phone or tablet in the same network see the steam day."
    ),
    "phones.warning": (
        "The connection is not encrypted: whoever listens in on this network can read it and take "
        "the device's place. Use it only on a network you trust, never in a café or hotel."
    ),
    "phones.lead": (
        "Point the phone's camera at the picture, or open the address on it and type the code. "
        "A code lets one device in, within ten minutes."
    ),
    "phones.address": "Address",
    "phones.code": "Code",
    "phones.left": "holds for {left} s more",
    "phones.fresh": "Make a new code",
    "phones.none": "No code holds now.",
    "phones.nowhere": "This machine is in no network now, so no phone can reach it.",
    "phones.held": "Let in",
    "phones.nobody": "No device is let in.",
    "phones.since": "since {when}; for {days} days",
    "phones.strike": "Take off the list",
    "phones.strike.of": "Take {name} off the list",
    "phones.scope": (
        "A device let in sees the steam days and writes what happens into the ledger. It cannot "
        "open or change a piece, or anything else."
    ),
    "phones.picture": "The address with the code, for a camera",
    "phones.wrong": (
        "That code does not hold: it was used, ten minutes are over, or it was mistyped. Ask for a "
        "new one."
    ),
    "phones.many": "Too many tries. Wait a minute, then ask for a new code.",
    "door.title": "Let this device in",
    "door.code": "Code",
    "door.name": "What to call this device",
    "door.send": "Let it in",
    "door.about": "The code stands on the maker's own screen, under “Phones”.",
}

_SHELVES: Mapping[str, str] = {
    "shop.title": "The shop",
    "shop.tabs": "Shelves",
    "shop.tab.boards": "Boards",
    "shop.tab.forms": "Forms",
    "shop.tab.clamps": "Clamps",
    "shop.tab.trials": "Trial bends",
    "shop.tab.learnt": "What they teach",
    "shop.tab.phones": "Phones",
    "shop.link": "The shop: boards, forms, clamps, trial bends",
    "shop.day.link": "Steam day",
    "shop.place": "Kept in {place}",
    "shop.empty.boards": "No board on the rack yet.",
    "shop.empty.forms": "No form yet.",
    "shop.empty.clamps": "No clamps yet.",
    "shop.boards.one": "board",
    "shop.forms.one": "form",
    "shop.clamps.one": "clamps",
    "shop.add.boards": "Add a board",
    "shop.add.forms": "Add a form",
    "shop.add.clamps": "Add clamps of one kind",
    "shop.keep": "Keep it",
    "shop.change": "Change",
    "shop.save": "Save the change",
    "shop.number": "No. {number}",
    "shop.gone.boards": "It is used up or sold",
    "shop.gone.forms": "It is gone",
    "shop.back": "It is there again",
    "shop.delete": "Take it out for good",
    "shop.delete.about": "For what was entered by mistake; nothing of it is kept.",
    "shop.own": "The wood is mine and in no table",
    "shop.none": "not known",
    "shop.unit": "Bare numbers are {unit}; fractions such as 1-1/8 in may be typed too.",
    "shop.at": "at {value}",
    "shop.since": "since {value}",
    "shop.made": "made {value}",
    "shop.cost": "cost {value}",
    "shop.gone": "gone {value}",
    "shop.called": "{title}, “{name}”",
    "shop.span": "{low} to {high}",
    "shop.defects": "not usable from its marked end: {spans}",
    "shop.surfaced": "planed",
    "shop.left": "left of {value}",
    "shop.dried.none": "not known",
    "shop.dried.kiln": "kiln-dried",
    "shop.dried.air": "air-dried",
    "shop.dried.green": "green",
    "shop.side.none": "not known",
    "shop.side.concave": "the hollow one",
    "shop.side.convex": "the round one",
    "shop.side.concave.long": "the part's hollow face lies on it",
    "shop.side.convex.long": "the part's round face lies on it",
    "shop.boards.species": "Wood",
    "shop.boards.length": "Length",
    "shop.boards.width": "Width",
    "shop.boards.thickness": "Thickness",
    "shop.boards.dried": "How it was dried",
    "shop.boards.moisture": "Moisture, %",
    "shop.boards.defects": "Stretches that cannot be used",
    "shop.boards.defects.hint": "From its marked end, such as 0 to 120; 900 to 960",
    "shop.boards.surfaced": "It is planed already",
    "shop.boards.name": "What is written on it",
    "shop.boards.place": "Where it lies",
    "shop.boards.in_on": "Since",
    "shop.boards.cost": "What it cost",
    "shop.boards.note": "Note",
    "shop.forms.name": "Name",
    "shop.forms.side": "Face of the part on it",
    "shop.forms.radius": "Radius of its face",
    "shop.forms.chord": "Or its chord",
    "shop.forms.rise": "And the rise over that chord",
    "shop.forms.made_on": "Made",
    "shop.forms.note": "Note",
    "shop.form.radius": "radius {value}",
    "shop.form.chord": "chord {value}, rise {rise}",
    "shop.clamps.name": "Name",
    "shop.clamps.count": "How many",
    "shop.clamps.opening": "Widest opening",
    "shop.clamps.force": "Force of one",
    "shop.clamps.force.hint": "Such as 2500 N, 250 kgf or 560 lbf",
    "shop.clamps.note": "Note",
    "shop.clamps.title": "{count} × {name}",
    "shop.clamps.opens": "opens {value}",
    "shop.clamps.presses": "each presses {value}",
}

_TRIALS: Mapping[str, str] = {
    "trials.empty": "No trial bend yet. The first one says more than any table.",
    "trials.add": "Add a trial bend",
    "trials.from": "Of which part",
    "trials.free": "free, of no piece",
    "trials.fill": "Fill in",
    "trials.filled": (
        "Filled in from {part} of {piece}. Its trim marks are {chord} apart on the form, on the "
        "face that lies on it."
    ),
    "trials.kinds": "Strips of that part",
    "shop.trials.form": "Form from the shelf",
    "shop.trials.board": "Board from the rack",
    "trials.measured": "What came off",
    "trials.measured.about": (
        "Give a radius, or a chord and its rise, on the face that lay on the form. Leave empty "
        "what was not measured."
    ),
    "trials.measured.ends": "Or, for this part, the distance between its trim marks.",
    "trials.after": "After",
    "trials.radius": "Radius",
    "trials.chord": "Chord",
    "trials.rise": "Rise",
    "trials.ends": "End to end",
    "trials.past": "The arc is over half a circle",
    "trials.error": "How well it was measured",
    "trials.error.hint": "Left empty: 0.5 mm, a radius to 1 % (assumed)",
    "trials.measure": "Measure it again",
    "trials.measure.keep": "Keep the measurement",
    "trials.delete": "Take it out",
    "trials.line": "{wood}, {treatment}, {strips} on a {side} face of radius {radius}",
    "trials.strips.one": "one strip of {size}",
    "trials.strips": "{count} strips of {size}",
    "trials.side.concave": "hollow",
    "trials.side.convex": "round",
    "trials.strap": "with a strap",
    "trials.broken": "broken",
    "trials.whole": "whole, not measured",
    "trials.read": "After {after}: radius {radius}, {lost} of the bend lost, known to {error}.",
    "trials.rest": (
        "At ten days about {lost} lost ({low} to {high}), radius {radius} ({near} to {far})."
    ),
    "trials.cold": "Bent cold, computed: {lost} lost.",
    "trials.straight": "straight",
    "trials.nothing": "Nothing is given that was measured",
    "trials.two": "a measurement given in two ways",
    "trials.two.todo": "fill one way in each row: a radius, a chord with its rise, or end to end",
    "trials.once": "at once",
    "trials.treatment.cold": "bent cold",
    "trials.treatment.steam": "steamed",
    "trials.treatment.soak-steam": "soaked and steamed",
    "trials.part.gone": "that part is not in the piece any more",
    "shop.treatment.none": "not known",
    "shop.treatment.cold": "bent cold",
    "shop.treatment.steam": "steamed",
    "shop.treatment.soak-steam": "soaked and steamed",
    "shop.trials.one": "trial bend",
    "shop.trials.species": "Wood",
    "shop.trials.treatment": "Treatment",
    "shop.trials.thickness": "Thickness of a strip",
    "shop.trials.plies": "Strips glued together",
    "shop.trials.plies.hint": "1 for a solid bend or a strip on its own",
    "shop.trials.form_radius": "Radius of the form's face",
    "shop.trials.form_radius.hint": "At the tightest place; left empty: that of the form",
    "shop.trials.side": "Face of the part on the form",
    "shop.trials.strap": "Bent with a strap and stops",
    "shop.trials.broken": "It broke",
    "shop.trials.steam_minutes": "Time in steam",
    "shop.trials.soak_hours": "Time in water",
    "shop.trials.dried": "How the wood was dried",
    "shop.trials.moisture": "Moisture when bent, %",
    "shop.trials.grain_slope": "Slope of grain",
    "shop.trials.grain_slope.hint": "Such as 1 in 15; left empty: straight",
    "shop.trials.bent_on": "Bent on",
    "shop.trials.run": "Steam run",
    "shop.trials.run.hint": "Left empty: one for each day",
    "shop.trials.who": "Who bent it",
    "shop.trials.note": "Note",
}

_LEARNT: Mapping[str, str] = {
    "learnt.none": "Nothing is learnt yet. Record a trial bend and what came off its form.",
    "learnt.set": "How much of its bend a strip loses",
    "learnt.set.none": "No steamed trial bend is measured yet; bent cold, strips keep nothing.",
    "learnt.set.about": (
        "All at ten days after release. A bar reaches over nine in ten of the next parts; its tick "
        "is the middle."
    ),
    "learnt.set.row": (
        "{wood}, {treatment}, {size}: {learnt} lost ({low} to {high}); guessed {guess} "
        "({glow} to {ghigh}); {trials} of its own{others}."
    ),
    "learnt.others.one": ", 1 other bears on it",
    "learnt.others": ", {count} others bear on it",
    "learnt.trials.one": "1 trial",
    "learnt.trials": "{count} trials",
    "learnt.each": "Each wood and thickness by itself",
    "learnt.creep": (
        "Between one hour and ten days a small loss grows {middle} times in this shop "
        "({low} to {high})."
    ),
    "learnt.breaks": "Strain at which half of them break",
    "learnt.breaks.about": "Brackets say how well that is known, nine in ten.",
    "learnt.breaks.head.what": "What was bent",
    "learnt.breaks.head.trials": "Bent",
    "learnt.breaks.head.broken": "Broke",
    "learnt.breaks.head.guess": "Guessed",
    "learnt.breaks.head.learnt": "Learnt",
    "learnt.breaks.convex": "outside tears",
    "learnt.breaks.concave": "inside crumples",
    "learnt.out": "Left out",
    "learnt.out.row": "Trial {number}, after {after}: {why}",
    "learnt.legend.guess": "guessed before any trial, nine in ten",
    "learnt.legend.learnt": "learnt: the next part, nine in ten",
    "learnt.legend.trials": "trial bends",
    "learnt.axis": "share of its bend that a strip loses, %",
    "learnt.size.thin": "thin",
    "learnt.size.middle": "middle",
    "learnt.size.thick": "thick",
    "learnt.switch": "use what the shop has learnt",
    "learnt.switch.on": "Computed with {source}.",
    "learnt.switch.off": "Computed without the shop's trial bends.",
    "learnt.switch.nothing": "The ledger holds no trial bend yet, so nothing changes.",
}

SHOP: Mapping[str, str] = {**_DOORS, **_SHELVES, **_TRIALS, **_LEARNT}
"""Texts by key."""
