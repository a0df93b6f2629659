"""A ledger in a folder of its own, and records to put in it."""

import pytest

from overbend.ledger import (
    Adhesive,
    Board,
    Build,
    Clamps,
    Form,
    Measurement,
    Trial,
    open_ledger,
)


@pytest.fixture
def place(tmp_path):
    return tmp_path / "shop.sqlite"


@pytest.fixture
def ledger(place):
    with open_ledger(place) as opened:
        yield opened


def make_trial(**changes):
    values = {
        "species": "white-ash",
        "treatment": "steam",
        "thickness": 20.0,
        "form_radius": 390.0,
        "dried": "air",
        "bent_on": "2026-05-17",
        "measurements": (Measurement(after_hours=24.0, radius=415.0),),
    }
    return Trial(**values | changes)


@pytest.fixture
def trial():
    return make_trial


@pytest.fixture
def every_kind():
    """One or more records of each kind, some of them tied together."""
    board = Board(
        species="white-ash",
        length=2438.4,
        width=150.0,
        thickness=27.0,
        dried="air",
        moisture=14.5,
        place="links, Regal 3 \u2033",
        in_on="2026-04-30",
        cost=31.5,
    )
    form = Form(name="back slat", radius=390.0, made_on="2026-05-02")
    arc = Measurement(after_hours=1.0, chord=610.0, rise=118.0, error=0.3)
    dots = Measurement(after_hours=240.0, points=((0.0, 0.0), (210.5, 55.25), (433.0, 38.1)))
    return (
        board,
        form,
        Clamps(name="bar clamp", count=12, opening=600.0, force=2451.6625),
        Adhesive(kind="pva-yellow", grams=900.0, use_by="2027-01-31"),
        make_trial(board=board.uid, form=form.uid, measurements=(arc, dots), run="noon"),
        make_trial(broken=True, measurements=(), form_radius=280.0, strap=True, note="tore"),
        make_trial(treatment="cold", thickness=3.2, plies=5, side="convex", measurements=()),
        Build(project="Low stool", fingerprint="8a5a3c6f1e0f", hours=22.5),
    )
