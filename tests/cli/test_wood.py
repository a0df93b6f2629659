"""`overbend wood`: figures with their source and standing."""

from typer.testing import CliRunner

from overbend.cli import app


def run(*args):
    return CliRunner().invoke(app, ["wood", *args])


def test_the_list_has_every_wood_and_marks_what_was_not_read():
    lines = run().stdout.splitlines()
    rows = [line for line in lines if (line and line.split()[0].count("-")) or "hackberry" in line]
    assert sum("m" in row.split()[-1] for row in rows) > 20
    (ash,) = [line for line in lines if line.startswith("white-ash ")]
    assert ash.split()[2] == "106.2"


def test_one_wood_names_the_source_of_every_figure():
    done = run("Ash, white")
    assert done.exit_code == 0
    lines = [line for line in done.stdout.splitlines()[2:] if line]
    assert len(lines) > 15
    assert all("read:" in line or "memory:" in line or "computed:" in line for line in lines)
    assert any("Table 5-3" in line for line in lines)


def test_an_unknown_wood_is_answered_with_what_may_be_meant():
    done = run("asch white")
    assert done.exit_code == 1
    assert "White ash" in done.stderr
