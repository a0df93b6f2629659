"""Texts of the page about boards to buy and how to cut them."""

from __future__ import annotations

from collections.abc import Mapping

__all__ = ["CUTTING"]

CUTTING: Mapping[str, str] = {
    "section.cutting": "Buying and cutting",
    "cutting.none": (
        "What to buy and how to cut it follows once boards are known: list what your yard sells."
    ),
    "cutting.none.machines": (
        "No boards are chosen and no cuts are given until the least sizes of every machine are "
        "typed from its manual."
    ),
    "cutting.waiting": "The search for boards begins when nothing has changed for a moment.",
    "cutting.begun": "Looking for boards that cost least.",
    "cutting.better": "Found so far: {cost}. None can cost less than {bound}.",
    "cutting.better.free": "Boards that are paid for are enough so far.",
    "cutting.stop": "Keep this one",
    "cutting.longer": "Look on for {seconds} s more",
    "cutting.failed": "The search for boards broke off: {why}",
    "cutting.failed.unknown": "it ended without saying why. Look on to try again.",
    "cutting.unfound": "No plan was found in the time given. Look on for longer.",
    "cutting.buy": "Buy {boards}: {cost} together.",
    "cutting.buy.none": "Nothing is to be bought.",
    "cutting.rack": "From your rack: {boards}.",
    "cutting.proof.least": "No choice of these boards costs less.",
    "cutting.proof.gap": "At most {gap} of that could still be saved.",
    "cutting.proof.stopped": "You ended the search early.",
    "cutting.board": "{count} × {name}",
    "cutting.for": "That is for {all} strips and blanks, spares among them.",
    "cutting.yield": (
        "Of the wood cut up {parts} ends in the parts; {kept}. The rest is saw dust, shavings "
        "and waste."
    ),
    "cutting.kept.none": "no off-cut is long enough to keep",
    "cutting.kept.one": "one off-cut goes to the rack",
    "cutting.kept.many": "{count} off-cuts go to the rack",
    "cutting.sheets": "Forms take {count} of {size}{price}.",
    "cutting.sheets.one": "one sheet",
    "cutting.sheets.many": "{count} sheets",
    "cutting.sheets.price": ", {price}",
    "cutting.sheets.few": "Perhaps fewer sheets would do.",
    "cutting.sheets.other": "Of other sheets, not counted here: the forms of {parts}.",
    "cutting.refused": "{part}: {why}. {todo}",
    "cutting.machine": (
        "From the manual of the {machine}: shortest piece {length}, narrowest {width}, thinnest "
        "{thickness}."
    ),
    "cutting.machine.depth": "The saw rips planks up to {rip} thick and resaws up to {resaw} wide.",
    "cutting.machine.saw": "saw",
    "cutting.machine.surfacing": "surfacing machine",
    "cutting.machine.thicknessing": "thicknessing machine",
    "cutting.machine.length": "Shortest piece for the {machine}",
    "cutting.machine.width": "Narrowest piece for the {machine}",
    "cutting.machine.thickness": "Thinnest piece for the {machine}",
    "cutting.machine.rip": "Thickest plank the saw rips",
    "cutting.machine.resaw": "Widest piece the saw resaws",
    "cutting.yard": "What the yard sells",
    "cutting.yard.name": "Board",
    "cutting.yard.wood": "Wood",
    "cutting.yard.length": "Length",
    "cutting.yard.width": "Width",
    "cutting.yard.thickness": "Thickness",
    "cutting.yard.price": "Price",
    "cutting.yard.per": "for",
    "cutting.yard.count": "There are",
    "cutting.yard.any": "any number",
    "cutting.yard.label": "{what} of {board}",
    "cutting.yard.remove": "Take {board} off the list",
    "cutting.yard.add": "Add a board to the list",
    "cutting.yard.addit": "Add it",
    "cutting.per.piece": "a piece",
    "cutting.per.metre": "a metre",
    "cutting.per.foot": "a foot",
    "cutting.per.volume": "a cubic metre",
    "cutting.per.board-foot": "a board foot",
    "cutting.diagrams": "How to cut them",
    "cutting.setups": "Settings, in the order the wood goes through them",
    "cutting.offcuts": "Off-cuts for the rack",
    "cutting.offcut.name": "Write on it",
    "cutting.offcut.size": "Length × width × thickness",
    "cutting.rules": (
        "The saw cut is {kerf} wide; {ends} comes off each end of a board, {edges} off its edges "
        "and {faces} off its faces. Off-cuts from {long} long or {wide} wide are kept."
    ),
    "cutting.rules.kerf": "Width of the saw cut",
    "cutting.rules.ends": "Cut off each end of a board",
    "cutting.rules.edges": "Taken off both edges of a board",
    "cutting.rules.faces": "Taken off both faces of a board",
    "cutting.rules.long": "Shortest off-cut worth keeping",
    "cutting.rules.wide": "Narrowest off-cut worth keeping",
    "cutting.seconds": "The search may take {seconds}.",
    "cutting.seconds.label": "How long the search may take",
    "cutting.lists": "As lists",
    "cutting.csv.buying": "what to buy, as CSV",
    "cutting.csv.cuts": "every cut, as CSV",
    "cutting.csv.sheets": "sheets, as CSV",
    "cutting.caution": (
        "Thin strips at the saw: push blocks, a guard, nothing shorter or thinner than the "
        "machine's manual allows; the maker of the machine and local rules come first."
    ),
}
