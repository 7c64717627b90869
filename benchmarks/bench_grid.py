"""How long a saved mark takes to be acknowledged, and how soon the first page of a second start is there.

Run by hand: ``python benchmarks/bench_grid.py``. It starts the workbench on an empty folder, adds a class of 24, plans
unit 1, and saves 500 cells of a checkpoint one after another as the grid does.
"""

from __future__ import annotations

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import httpx2

PORT = 8699
ADDRESS = f"http://127.0.0.1:{PORT}"
CELLS = 500


def started(data: Path) -> tuple[subprocess.Popen[bytes], float]:
    """A running workbench and the seconds until its first page came."""
    begin = time.perf_counter()
    process = subprocess.Popen(
        [
            *(sys.executable, "-m", "larkslate", "serve", "--no-browser"),
            *("--port", str(PORT), "--data", str(data)),
        ],
        env=dict(os.environ),
        stderr=subprocess.DEVNULL,
    )
    while True:
        try:
            httpx2.get(ADDRESS + "/today", follow_redirects=True, timeout=60)
        except httpx2.TransportError:
            if process.poll() is not None:
                raise SystemExit("The workbench did not start: run larkslate doctor.") from None
            time.sleep(0.01)
        else:
            return process, time.perf_counter() - begin


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        data = Path(folder) / "school"
        process, first = started(data)
        origin = {"origin": ADDRESS}
        with httpx2.Client(base_url=ADDRESS, headers=origin, timeout=120) as client:
            names = "student\n" + "".join(f"S{n}\n" for n in range(1, 25))
            form = {"name": "Room 12", "list": names, "step": "add"}
            room = client.post("/class/new", data=form).headers["location"]
            begin = time.perf_counter()
            client.post(f"{room}/plan/1", data={})
            planned = time.perf_counter() - begin
            grid = client.post(f"{room}/plan/1/5/give", data={"form": "A"}).headers["location"]
            page = client.get(grid).text
            students = re.findall(r'data-student="(\w+)"', page)
            items = re.findall(r'<th [^>]*data-item="(\d+)"', page)
            cells = [(s, i) for s in students for i in items]
            took = []
            for n in range(CELLS):
                student, item = cells[n % len(cells)]
                body = {
                    "student": student,
                    "item": item,
                    "written": f"word{'abcdefghij'[n // len(cells)]}",
                    "revision": str(n // len(cells)),
                }
                begin = time.perf_counter()
                answer = client.post(f"{grid}/cell", data=body)
                took.append(1000 * (time.perf_counter() - begin))
                if answer.json()["state"] != "saved":
                    raise SystemExit(answer.text)
        process.terminate()
        process.wait()
        process, second = started(data)
        process.terminate()
        process.wait()
    took.sort()
    print(f"first start, first page           {first:8.2f} s")
    print(f"second start, first page          {second:8.2f} s")
    print(f"unit planned and stored           {planned:8.2f} s")
    print(f"a saved mark, median of {CELLS}       {statistics.median(took):8.1f} ms")
    print(f"a saved mark, 95 of 100           {took[int(0.95 * CELLS)]:8.1f} ms")
    print(f"load of the machine               {os.getloadavg()[0]:8.1f}")


if __name__ == "__main__":
    main()
