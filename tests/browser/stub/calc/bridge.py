"""A stand-in for the bridge: answers, long work, and every way to go wrong on purpose."""

from __future__ import annotations

import json
import os
import time
from pathlib import Path

import numpy as np

DATA = Path(__file__).parent.parent / "data"
# One runtime, one name: a second one shows by another.
WHICH = os.urandom(8).hex()
_hooks = []


def listen(hook) -> None:
    _hooks[:] = [hook]


def call(text: str) -> str:
    request = json.loads(text)
    return json.dumps(ANSWERS[request["do"]](request))


def add(request):
    return {"sum": float(np.sum(np.asarray(request["numbers"], dtype=np.float64)))}


def which(_):
    return {"runtime": WHICH}


def counted(_):
    return {"slices": Slices.done}


def table(_):
    import pandas as pd

    return {"rows": len(pd.read_csv(DATA / "rows.csv"))}


def impossible(_):
    return {"needs": ["scipy"]}


def hang(_):
    while True:
        pass


def slow(request):
    """Works for some seconds without a pause, saying so twice a second; with `hangs` it then says no more, for ever."""
    end = time.monotonic() + request["seconds"]
    said = time.monotonic()
    while time.monotonic() < end:
        if time.monotonic() >= said + 0.5:
            said = time.monotonic()
            _hooks[0]()
    return hang(request) if request.get("hangs") else {"worked": request["seconds"]}


def fault(_):
    raise ZeroDivisionError("by zero")


def memory(_):
    return {"held": len([np.empty(2**28 - 2**17) for _ in range(3)])}


def outside(request):
    import js
    from pyodide.ffi import JsException

    told = {}
    for name in ("XMLHttpRequest", "WebSocket", "EventSource", "Worker"):
        try:
            getattr(js, name).new(request["address"])
        except JsException as error:
            told[name] = str(error)
    return told


ANSWERS = {
    "add": add,
    "which": which,
    "counted": counted,
    "table": table,
    "impossible": impossible,
    "hang": hang,
    "slow": slow,
    "fault": fault,
    "memory": memory,
    "outside": outside,
}


class Slices:
    """Counts to `upto`, one number a slice."""

    done = 0

    def __init__(self, upto, table):
        self.upto, self.at, self.table = upto, 0, table

    def next(self) -> str:
        if self.table:
            import pandas as pd  # noqa: F401
        if self.at == self.upto:
            return json.dumps({"done": {"counted": self.at}})
        self.at += 1
        Slices.done += 1
        return json.dumps({"progress": {"at": self.at}})


def begin(text: str) -> Slices:
    request = json.loads(text)
    return Slices(request["upto"], request.get("table", False))
