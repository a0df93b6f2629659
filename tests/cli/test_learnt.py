"""The command uses the ledger when asked, and says so."""

import json

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from support.pieces import EXAMPLES

ROCKER = next(p for p in EXAMPLES if p.stem == "hearth-rocker")


def run(*args):
    return CliRunner().invoke(app, [str(a) for a in args])


@pytest.fixture
def ledger(tmp_path):
    path = tmp_path / "shop.sqlite"
    for radius in (448, 452, 450):
        done = run(
            "trial", "add", "--species", "white ash", "--treatment", "steam", "--thickness", "10",
            "--form-radius", "427", "--radius", radius, "--after", "10 days", "--ledger", path,
        )  # fmt: skip
        assert done.exit_code == 0, done.output
    return path


def slat(*args):
    return json.loads(run("plan", ROCKER, "--json", *args).stdout)["bent"]["slat"]


def test_trials_narrow_the_set_and_open_the_trial_gate(ledger):
    guess, learnt = slat(), slat("--ledger", ledger)
    assert guess["trial_form"]
    assert not learnt["trial_form"]
    width = [s["set"]["high"] - s["set"]["low"] for s in (guess, learnt)]
    assert width[1] < width[0]
    assert learnt["set"]["median"] == pytest.approx(432 / 455, abs=0.03)
    assert "3 trial bends" in learnt["set"]["source"]


def test_nothing_is_learnt_unless_asked(ledger, monkeypatch):
    monkeypatch.setenv("OVERBEND_LEDGER", str(ledger))
    assert slat()["trial_form"]
    assert not slat("--learnt")["trial_form"]


def test_a_broken_ledger_is_said(tmp_path):
    bad = tmp_path / "x.sqlite"
    bad.write_text("not a ledger")
    done = run("check", ROCKER, "--ledger", bad)
    assert done.exit_code == 1
    assert "Traceback" not in done.output
    assert bad.read_text() == "not a ledger"
