"""The book's fixed texts in English, in one place."""

from __future__ import annotations

__all__ = ["BENCH_CAUTIONS", "CAUTIONS", "METHOD_WORDS", "TRIAL_FORM", "TRIAL_FORM_WHY"]

TRIAL_FORM = "TRIAL FORM"
TRIAL_FORM_WHY = (
    "How much of the bend this wood keeps is not known here yet. Build the form from cheap "
    "sheet, bend one part, measure what comes off, record it, and make the book again before "
    "you bend the rest."
)

METHOD_WORDS = {
    "solid": "solid, steam-bent",
    "laminate": "laminated cold",
    "steam-laminate": "steamed, then laminated",
}

_SPRING = (
    "Bent wood is a spring: stand aside, keep hands and face out of its way, let clamps off a "
    "little at a time."
)
_HOT = "Hot wood and steam scald: dry heat-proof gloves, long sleeves, stand aside of the box."
_GLUE = "The data sheet of your glue goes before these times. Gloves, and air that moves."

BENCH_CAUTIONS = {
    "solid": (_HOT, _SPRING),
    "laminate": (_SPRING, _GLUE),
    "steam-laminate": (_HOT, _SPRING, _GLUE),
}

CAUTIONS = {
    "Machines": (
        "Thin strips are thrown back or shattered by a saw or planer. Keep above the least "
        "length, width and thickness in the machine's manual; use push blocks, hold-downs and "
        "guards; never reach over a blade.",
        "Wood dust harms lungs and can burn. Extract it at the machine and wear a mask.",
        "Look for nails and stones in reclaimed wood before a blade does. Never saw, sand or "
        "steam painted or treated wood.",
    ),
    "Bent wood": (
        "Bent strips are springs. A clamp or strap that lets go can break bones: stand aside, "
        "keep hands and faces out of the way, let clamps off a little at a time.",
    ),
    "Glue": (
        "Read the data sheet of the glue you have; its times go before these. Wear gloves and "
        "move air with epoxy, polyurethane and urea-formaldehyde glues.",
    ),
    "Steam": (
        "Steam, hot water and hot wood scald. Wear dry heat-proof gloves and long sleeves; wet "
        "gloves let the heat through. Stand aside when you open the box.",
        "Never seal a steam box or a boiler: it must drain and breathe. Never let a boiler run "
        "dry.",
        "Run fuel burners outdoors only: carbon monoxide and fire. Put electric boilers behind a "
        "residual-current device.",
    ),
    "The finished piece": (
        "Numbers here are estimates with a range, not a certification. Prove a new piece with "
        "dead weight and nobody on it before anyone sits down, and test before selling.",
        "Oily rags heat by themselves and catch fire: dry them flat outdoors or keep them under "
        "water in a closed metal can.",
        "Local rules and licensed practice come first.",
    ),
}
