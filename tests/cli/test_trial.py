"""`overbend trial`: recording, measuring again, listing, fitting, drawing."""

import re
import subprocess
import sys

import pytest
from typer.testing import CliRunner

from overbend.cli import app
from overbend.cli.trial_text import table, time_words
from overbend.ledger import Trial, open_ledger
from support.pace import quiet_command

BENT = ("--species", "white ash", "--treatment", "steam", "--thickness", "20",
        "--form-radius", "390", "--dried", "air", "--on", "2026-05-17")  # fmt: skip
TEN_DAYS = ("--radius", "432", "--after", "10 days")


@pytest.fixture
def shop(tmp_path):
    path = tmp_path / "shop.sqlite"

    def run(*args):
        return CliRunner().invoke(app, ["trial", *map(str, args), "--ledger", str(path)])

    run.path = path
    return run


def kept(shop):
    with open_ledger(shop.path) as ledger:
        return [trial for _, trial in ledger.all_of(Trial)]


def test_a_trial_is_added_listed_and_measured_again(shop):
    done = shop("add", *BENT, "--radius", 412, "--after", "1 h")
    assert done.exit_code == 0, done.output
    assert "Trial 1  2026-05-17  White ash, steam, one strip of 20 mm" in done.stdout
    assert "after 1 h: radius 412 mm, lost 5.2 % of the bend" in done.stdout
    early = re.search(r"at ten days about \S+ % lost \((\S+) % to (\S+) %\)", done.stdout)
    again = shop("measure", 1, "--radius", 420, "--after", "10 days")
    late = re.search(r"at ten days about \S+ % lost \((\S+) % to (\S+) %\)", again.stdout)
    assert float(late[2]) - float(late[1]) < 0.5 * (float(early[2]) - float(early[1]))
    listed = shop("list").stdout
    assert "after 1 h: radius 412 mm" in listed
    assert "after 10 days: radius 420 mm" in listed


def test_inches_and_fractions(shop):
    done = shop(
        "add", "--species", "red oak", "--treatment", "soak-steam", "--thickness", "13/16",
        "--form-radius", "15-1/2", "--chord", "24", "--rise", "5-1/4", "--after", "1 day",
        "--units", "in", "--grain", "1 in 15", "--soak", "24 h", "--steam", "45 min",
    )  # fmt: skip
    assert done.exit_code == 0, done.output
    (trial,) = kept(shop)
    assert trial.thickness == pytest.approx(25.4 * 13 / 16)
    assert trial.form_radius == pytest.approx(25.4 * 15.5)
    assert trial.grain_slope == pytest.approx(1 / 15)
    assert (trial.soak_hours, trial.steam_minutes) == (24.0, 45.0)
    (measured,) = trial.measurements
    assert (measured.chord, measured.rise) == (pytest.approx(609.6), pytest.approx(133.35))
    assert "strip of 13/16 in" in done.stdout
    assert "radius 15-1/2 in" in done.stdout


def test_points_from_a_file(shop, tmp_path):
    file = tmp_path / "points.txt"
    file.write_text("# along the hollow face\n0; 0\n150; 31,2\n\n300 mm; 41.8\n450; 30\n")
    done = shop("add", *BENT, "--points", file, "--after", "1 day")
    assert done.exit_code == 0, done.output
    assert kept(shop)[0].measurements[0].points == (
        (0.0, 0.0), (150.0, 31.2), (300.0, 41.8), (450.0, 30.0)
    )  # fmt: skip


@pytest.mark.parametrize(
    ("text", "word"),
    [("0;0\n1;1\n", "3 or more"), ("0;0\n1;1\n2\n", "line 3: cannot read '2'"),
     ("0;0\n1;x\n2;2\n", "line 2: cannot read 'x'"), ("", "3 or more")],
)  # fmt: skip
def test_files_of_points_that_cannot_be_read(shop, tmp_path, text, word):
    file = tmp_path / "points.txt"
    file.write_text(text)
    done = shop("add", *BENT, "--points", file, "--after", "1 day")
    assert done.exit_code == 1
    assert word in done.stderr
    assert not shop.path.exists() or kept(shop) == []


def test_a_broken_one(shop):
    done = shop("add", *BENT, "--broken")
    assert done.exit_code == 0
    assert "radius 390 mm: broken" in done.stdout
    assert kept(shop)[0].broken


def test_a_cold_stack_stands_beside_what_is_computed(shop):
    done = shop(
        "add", "--species", "white ash", "--treatment", "cold", "--thickness", 3, "--plies", 4,
        "--form-radius", 500, "--radius", 530, "--after", "10 days",
    )  # fmt: skip
    assert "lost 5.6 % of the bend" in done.stdout
    assert "bent cold, computed: 6.3 % lost" in done.stdout


REFUSED = {
    "a rise larger than half the chord": (
        ("--chord", 400, "--rise", 210, "--after", "1 h"), "larger than half the chord"),
    "a negative time": (("--radius", 400, "--after", "-1 h"), "--after: a time of '-1 h'"),
    "no time": (("--radius", 400), "--after: it is not said when"),
    "a time alone": (("--after", "1 h"), "nothing is given that was measured"),
    "a chord alone": (("--chord", 400, "--after", "1 h"), "with chord given"),
    "tighter than the form": (("--radius", 350, "--after", "1 h"), "came off tighter"),
    "broken and measured": (("--broken", *TEN_DAYS), "broke and was measured"),
    "a length that is none": (("--radius", "wide", "--after", "1 h"), "--radius: cannot read"),
    "a length of two readings": (("--radius", "1,250 mm", "--after", "1 h"), "two ways"),
    "a file that is not there": (("--points", "nowhere.txt", "--after", "1 h"), "cannot be read"),
    "an unknown unit": (("--units", "cm"), "units 'cm'"),
    "a board that is not there": (("--board", 3), "there is no board 3"),
    "a day that is none": (("--on", "yesterday"), "cannot use bent_on 'yesterday'"),
    "an unknown treatment": (("--treatment", "boil"), "cannot use treatment 'boil'"),
    "an unknown wood": (("--species", "red ook"), "did you mean Northern red oak?"),
    "a moisture beyond reason": (("--moisture", 900), "cannot use moisture 900"),
    "a strap on cold wood": (("--treatment", "cold", "--strap"), "cold with a strap"),
}  # fmt: skip


@pytest.mark.parametrize("name", REFUSED)
def test_what_is_refused_is_said_plainly_and_not_kept(shop, name):
    options, word = REFUSED[name]
    done = shop("add", *BENT, *options)
    assert done.exit_code == 1
    assert word in done.stderr
    assert done.stderr.startswith("overbend: ")
    assert "Traceback" not in done.output
    assert not shop.path.exists() or kept(shop) == []


def test_a_wood_of_the_makers_own(shop):
    done = shop("add", *BENT, "--species", "Garden plum", "--own-wood", *TEN_DAYS)
    assert done.exit_code == 0, done.output
    assert kept(shop)[0].species == "garden-plum"
    assert "garden-plum" in shop("fit").stdout


def test_without_a_ledger_it_says_how_to_start_one(shop):
    for command in (("list",), ("fit",), ("measure", 1, *TEN_DAYS), ("remove", 1)):
        done = shop(*command)
        assert done.exit_code == 1
        assert "no ledger here yet" in done.stderr
    assert not shop.path.exists()


def test_the_environment_names_the_ledger(tmp_path, monkeypatch):
    monkeypatch.setenv("OVERBEND_LEDGER", str(tmp_path / "mine.sqlite"))
    done = CliRunner().invoke(app, ["trial", "add", *BENT])
    assert done.exit_code == 0, done.output
    assert (tmp_path / "mine.sqlite").exists()


def test_a_trial_is_taken_out(shop):
    shop("add", *BENT)
    assert shop("remove", 2).exit_code == 1
    assert shop("remove", 1).exit_code == 0
    assert kept(shop) == []
    assert "No trial bend in" in shop("list").stdout
    assert "No trial bend yet" in shop("fit").stdout


@pytest.fixture
def tried(shop):
    for day, radius in ((1, 452), (8, 468), (15, 460)):
        shop("add", *BENT, "--radius", radius, "--after", "10 days", "--on", f"2026-05-{day:02}")
    shop("add", *BENT, "--broken", "--form-radius", 240)
    return shop


def test_the_fit_shows_guess_and_learnt_with_counts(tried):
    text = tried("fit").stdout
    row = next(
        line for line in text.splitlines() if line.startswith("White ash  steam      thick,")
    )
    cells = re.split(r"\s{2,}", row)
    assert cells[:5] == ["White ash", "steam", "thick, 20 mm", "3", "0"]
    guess, learnt = ([int(n) for n in re.findall(r"\d+", cell)] for cell in cells[5:])
    assert guess == [92, 74, 98]
    assert learnt[0] < guess[0]
    odds = [(h / (100 - h)) / (w / (100 - w)) for _, w, h in (guess, learnt)]
    assert odds[1] < 0.6 * odds[0]
    assert "Between one hour and ten days a small loss grows 1.7 times" in text
    face = next(line for line in text.splitlines() if "outside tears" in line)
    assert re.split(r"\s{2,}", face)[4:6] == ["4", "1"]


def test_the_plot_holds_prior_trials_and_posterior(tried, tmp_path):
    svg = tmp_path / "fit.svg"
    done = tried("fit", "--plot", svg)
    assert done.exit_code == 0, done.output
    text = svg.read_text()
    for word in ("guess, before any trial", "learnt: the next part", "trial 1", "trial 3",
                 "White ash, steam, thick, 20 mm"):  # fmt: skip
        assert word in text


def test_a_plot_of_nothing_is_refused(shop, tmp_path):
    shop("add", *BENT)
    done = shop("fit", "--plot", tmp_path / "fit.svg")
    assert done.exit_code == 1
    assert "nothing to draw" in done.stderr


def test_what_was_left_out_is_told(shop):
    shop("add", *BENT, "--thickness", 3, "--plies", 4, "--form-radius", 500, "--radius", 570,
         "--after", "10 days")  # fmt: skip
    assert "Trial 1, 10 days: lost" in shop("fit").stdout


def test_times_are_told_in_the_largest_whole_unit():
    assert time_words(0.5) == "30 min"
    assert time_words(24.0) == "1 day"
    assert time_words(48.0) == "2 days"


def test_columns_are_as_wide_as_their_widest_cell():
    assert table(("a", "bb"), [("long", "x"), ("s", "")]) == "a     bb\nlong  x\ns"


def test_help_answers_at_once():
    """A shop's old machine may be slower; the limit of half a second is for two quiet cores."""
    assert quiet_command([sys.executable, "-m", "overbend", "--help"], 3) < 0.5


def test_help_imports_nothing_heavy():
    script = (
        "import sys; from overbend.cli import app; "
        "print([m for m in ('numpy', 'scipy', 'pydantic', 'sqlite3') if m in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], check=True, capture_output=True, text=True
    )
    assert done.stdout.strip() == "[]"
