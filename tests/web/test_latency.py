"""How quickly answers follow the pointer; run with -s to see the figures of docs/performance.md.

The bounds asserted here are for a quiet machine, with room to spare; the document states what was
measured. On a slow or busy machine they are as much longer as a piece of work takes there.
"""

import json
import math
import os
import statistics
import time
from dataclasses import replace
from pathlib import Path

import pytest

from overbend.project import read
from overbend.web.answers import View, answers
from overbend.web.draft import Draft
from overbend.web.replan import Replanner
from support.pace import QUIET, pace, piece_of_work, spent
from support.pieces import ROOT

EXAMPLES = ROOT / "examples"
SECONDS = 4.0

WATCH = """
window.seen = { sent: new Map(), late: [] };
document.addEventListener('pointermove', (e) => { window.moved = e.timeStamp; }, true);
const send = WebSocket.prototype.send;
WebSocket.prototype.send = function (data) {
  const message = JSON.parse(data);
  if (message.type === 'pull') window.seen.sent.set(message.seq, window.moved);
  return send.call(this, data);
};
document.addEventListener('DOMContentLoaded', () => new MutationObserver(() => {
  const seq = Number(document.documentElement.dataset.seq);
  requestAnimationFrame(() => {
    const drawn = new MessageChannel();
    drawn.port1.onmessage = () => {
      const began = window.seen.sent.get(seq);
      if (began !== undefined) window.seen.late.push(performance.now() - began);
      window.seen.sent.delete(seq);
    };
    drawn.port2.postMessage(0);
  });
}).observe(document.documentElement, { attributes: true, attributeFilter: ['data-tick'] }));
"""


PAINTED = """
async () => {
  const paint = () => performance.getEntriesByName('first-contentful-paint')[0];
  while (!paint()) await new Promise((done) => setTimeout(done, 5));
  return paint().startTime;
}
"""


def p95(values):
    return sorted(values)[int(0.95 * len(values))]


def slower(walls):
    """How many times longer than on the quiet machine pieces of work took, waiting included."""
    return max(1.0, p95(walls) / QUIET)


def wall():
    """Time that a piece of work takes here and now [s]."""
    return spent(piece_of_work, time.perf_counter)


def load():
    """How many programs wanted the processors over the last minute."""
    return f"load {os.getloadavg()[0]:.1f}" if hasattr(os, "getloadavg") else ""


DRAGS = {"slatted-bench": "point.5", "hearth-rocker": "segment.1.middle"}


@pytest.mark.parametrize("name", sorted(DRAGS))
def test_answers_follow_the_pointer(name, server, tab):
    (server.folder / f"{name}.toml").write_text((EXAMPLES / f"{name}.toml").read_text())
    t, took = tab(), []
    t.page.add_init_script(WATCH)

    def heard(line):
        line.on("framereceived", lambda data: took.append(json.loads(data)))

    t.page.on("websocket", heard)
    t.open(name)
    took.clear()
    box = t.page.locator(f'.handle[data-id="{DRAGS[name]}"]').bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    walls, start = [], time.monotonic()
    while (a := time.monotonic() - start) < SECONDS:
        if a > 0.1 * len(walls):
            walls.append(wall())
        t.page.mouse.move(x + 30 * math.sin(3 * a), y + 25 * math.sin(2.2 * a))
        time.sleep(0.012)
    t.page.mouse.up()
    late = t.page.evaluate("window.seen.late")
    own = [m["took"] for m in took if m.get("draft") and "took" in m]
    print(
        f"\n{name}: {len(late)} answers in {SECONDS:g} s: pointer to redrawn median "
        f"{statistics.median(late):.0f} ms, p95 {p95(late):.0f} ms; "
        f"server median {statistics.median(own):.0f} ms, p95 {p95(own):.0f} ms; {load()}"
    )
    ticks = [m["tick"] for m in took if m["type"] == "answers"]
    assert ticks == sorted(ticks)
    assert len(late) * slower(walls) > 10
    assert p95(late) < 600.0 * slower(walls)


EDITS = {
    "slatted-bench": lambda i: [("curve.rib.through.5.0", 528 + 0.5 * i)],
    "hearth-rocker": lambda i: [("dimensions.rocker_radius", 1060 + 1.5 * i)],
}


@pytest.mark.parametrize("name", sorted(EDITS))
def test_a_draft_takes_little_work(name):
    file = EXAMPLES / f"{name}.toml"
    base = read(file.read_text(), file)
    replanner, draft = Replanner(), Draft(base)
    view = View(width=200.0, height=150.0, open=frozenset())
    view = replace(view, window=answers(replanner, base, view, False).window)
    took, size = [], 0
    for i in range(40):
        began = time.thread_time()
        answer = answers(replanner, draft.put(EDITS[name](i)), view, True)
        size = len(json.dumps(answer.data))
        took.append(1000.0 * (time.thread_time() - began))
    print(
        f"\n{name}: work of one answer: median {statistics.median(took):.0f} ms, "
        f"p95 {p95(took):.0f} ms, {size / 1000:.0f} kB; {load()}"
    )
    assert statistics.median(took) < 60.0 * pace(time.thread_time)


def test_it_starts_quickly_and_stays_small(lone, tab):
    lone.stop()
    t = tab(on=lone)
    t.page.goto("about:blank")
    walls = [wall() for _ in range(20)]
    began = time.monotonic()
    lone.start()
    t.page.goto(lone.link)
    t.page.goto(f"{lone.root}/p/slatted-bench", wait_until="commit")
    t.page.wait_for_selector("#sheet")
    painted = t.page.evaluate(PAINTED)
    until = time.monotonic() - began
    t.page.wait_for_selector("#section-bends")
    whole = time.monotonic() - began
    walls += [wall() for _ in range(20)]
    status = Path(f"/proc/{lone.process.pid}/status")
    size = ""
    if status.exists():
        line = next(r for r in status.read_text().splitlines() if r.startswith("VmRSS"))
        size = f"; memory {int(line.split()[1]) / 1024:.0f} MB"
    print(
        f"\nfrom the command to the painted page {until:.1f} s (paint {painted:.0f} ms after "
        f"asking), to its answers {whole:.1f} s{size}; {load()}"
    )
    assert until < 10.0 * slower(walls)
    assert whole < 20.0 * slower(walls)
