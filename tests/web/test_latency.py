"""How quickly answers follow the pointer; run with -s to see the figures of docs/performance.md.

The bounds asserted here leave room for a busy machine; the document states what was measured.
"""

import json
import math
import statistics
import time
from pathlib import Path

from overbend.project import read
from overbend.web.answers import View, answers
from overbend.web.draft import Draft
from overbend.web.replan import Replanner
from support.pieces import ROOT

BENCH = ROOT / "examples" / "slatted-bench.toml"
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


def p95(values):
    return sorted(values)[int(0.95 * len(values))]


def test_answers_follow_the_pointer(server, tab):
    (server.folder / "slatted-bench.toml").write_text(BENCH.read_text())
    t, took = tab(), []
    t.page.add_init_script(WATCH)

    def heard(line):
        line.on("framereceived", lambda data: took.append(json.loads(data)))

    t.page.on("websocket", heard)
    t.open("slatted-bench")
    took.clear()
    box = t.page.locator('.handle[data-id="point.5"]').bounding_box()
    x, y = box["x"] + 14, box["y"] + 14
    t.page.mouse.move(x, y)
    t.page.mouse.down()
    start = time.monotonic()
    while (a := time.monotonic() - start) < SECONDS:
        t.page.mouse.move(x + 30 * math.sin(3 * a), y + 25 * math.sin(2.2 * a))
        time.sleep(0.012)
    t.page.mouse.up()
    late = t.page.evaluate("window.seen.late")
    own = [m["took"] for m in took if m.get("draft") and "took" in m]
    print(
        f"\n{len(late)} answers in {SECONDS:g} s: pointer to redrawn median "
        f"{statistics.median(late):.0f} ms, p95 {p95(late):.0f} ms; "
        f"server median {statistics.median(own):.0f} ms, p95 {p95(own):.0f} ms"
    )
    ticks = [m["tick"] for m in took if m["type"] == "answers"]
    assert ticks == sorted(ticks)
    assert len(late) > 10
    assert p95(late) < 600.0


def test_a_draft_takes_little_work():
    text = BENCH.read_text()
    replanner, view, draft = Replanner(), View(width=200.0, height=150.0), Draft(text)
    view = View(
        width=200.0, height=150.0, window=answers(replanner, read(text), view, False).window
    )
    spent = []
    for i in range(24):
        began = time.process_time()
        moved = draft.put([("curve.rib.through.5.0", 528 + 0.5 * i)])
        answers(replanner, read(moved), view, True)
        spent.append(1000.0 * (time.process_time() - began))
    print(
        f"\nwork of one answer: median {statistics.median(spent):.0f} ms, p95 {p95(spent):.0f} ms"
    )
    assert statistics.median(spent) < 120.0


def test_it_starts_quickly_and_stays_small(lone, tab):
    lone.stop()
    began = time.monotonic()
    lone.start()
    t = tab(on=lone)
    t.page.goto(lone.link)
    t.page.goto(f"{lone.root}/p/low-stool")
    painted = t.page.evaluate(
        "() => performance.getEntriesByName('first-contentful-paint')[0]?.startTime ?? 0"
    )
    until = time.monotonic() - began
    t.page.wait_for_selector("#section-bends", timeout=20000)
    whole = time.monotonic() - began
    status = Path(f"/proc/{lone.process.pid}/status")
    size = ""
    if status.exists():
        line = next(r for r in status.read_text().splitlines() if r.startswith("VmRSS"))
        size = f"; memory {int(line.split()[1]) / 1024:.0f} MB"
    print(
        f"\nfrom the command to the page {until:.1f} s (paint {painted:.0f} ms after asking), "
        f"to its answers {whole:.1f} s{size}"
    )
    assert whole < 20.0
