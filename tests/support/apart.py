"""Asynchronous work in a thread of its own: the browser's driver keeps a loop in the main one."""

from __future__ import annotations

import asyncio
from collections.abc import Coroutine
from concurrent.futures import ThreadPoolExecutor
from typing import Any


def apart(work: Coroutine[Any, Any, Any]) -> Any:
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, work).result()
