"""Searches that take their time, for tests of what watches them; run in a process of their own."""

import os
import time


def patient(pipe, asked):
    """Better every moment until it is told to end; then the best."""
    cost = 100.0
    while not pipe.poll(0.02):
        cost -= 1.0
        pipe.send({"cost": cost, "bound": 10.0})
    pipe.send({"phase": "done", "cutting": (asked.key, cost), "cost": cost, "bound": 10.0})


def deaf(pipe, asked):
    """Says something once and then nothing for a long time."""
    pipe.send({"cost": float(len(asked.text)), "bound": 1.0})
    time.sleep(60)


def dying(pipe, asked):
    """Ends without a word."""
    os._exit(3)
