"""How the page bears a crowd and damaged photos: ``python docs/load_page.py [--damaged 500]``.

Starts ``printcheck serve``, measures one photo alone, then twenty sent at once: when the first is
answered, whether all are in the order they came, how fast the page opens meanwhile, and what memory is
left held. Then damaged pictures are sent one after another; every answer must be below 500.
"""

from __future__ import annotations

import argparse
import http.client
import json
import os
import re
import subprocess
import sys
import threading
import time
from contextlib import closing
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))  # the tests' damaged pictures

from tests.web.damaged import damaged

SAMPLE = Path(__file__).parents[1] / "sample_images" / "gingham.jpg"
CROWD = 20
CARD = b'--x\r\nContent-Disposition: form-data; name="reference"\r\n\r\ncard\r\n'
WHOLE = 25  # of so many damaged pictures one is measured whole; the rest are searched for a card alone
PATIENT_S = 1200
SERVE = f"""
import sys
from printcheck.web import Wanted, run
if __name__ == "__main__":
    run(Wanted(port=0, seconds={PATIENT_S}), say=lambda text: print(text, file=sys.stderr, flush=True))
"""


class Served:
    """The page in a process of its own, patient with a busy machine."""

    def __init__(self) -> None:
        command = [sys.executable, "-c", SERVE]
        self.process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
        assert self.process.stderr is not None
        lines = (re.search(r"http://[^/\s]*:(\d+)", line) for line in self.process.stderr)
        self.port = int(next(found for found in lines if found)[1])

    def ask(self, path: str, photo: bytes | None = None, fields: bytes = b"") -> tuple[int, bytes]:
        """Status and body of a request."""
        asking = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENT_S)
        with closing(asking):
            return self._asked(asking, path, photo, fields)

    def open_page(self) -> None:
        """The page and its files, one after another over one connection as from a far phone."""
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENT_S)) as asking:
            page = self._asked(asking, "/")[1].decode()
            for path in re.findall(r'(?:src|href)="(/static/[^"]+)"', page):
                assert self._asked(asking, path)[0] == 200

    @staticmethod
    def _asked(
        asking: http.client.HTTPConnection, path: str, photo: bytes | None = None, fields: bytes = b""
    ) -> tuple[int, bytes]:
        if photo is None:
            asking.request("GET", path)
        else:
            head = b'--x\r\nContent-Disposition: form-data; name="photo"; filename="a.jpg"\r\n\r\n'
            body = fields + head + photo + b"\r\n--x--\r\n"
            asking.request("POST", path, body, {"Content-Type": "multipart/form-data; boundary=x"})
        answer = asking.getresponse()
        return answer.status, answer.read()

    def memory_mb(self) -> float:
        """Resident memory of the server and its workers (Linux)."""
        total, ours = 0, {self.process.pid}
        for folder in sorted(Path("/proc").glob("[0-9]*"), key=lambda p: int(p.name)):
            try:
                status = dict(line.split(":", 1) for line in (folder / "status").read_text().splitlines())
            except (OSError, ValueError):
                continue
            if int(folder.name) in ours or int(status["PPid"]) in ours:
                ours.add(int(folder.name))
                total += int(status.get("VmRSS", "0 kB").split()[0])
        return total / 1024


def crowd(served: Served, photo: bytes) -> None:
    """Twenty at once beside one alone."""
    for _ in range(2):  # both workers warm
        served.ask("/measure", photo)
    began = time.monotonic()
    assert served.ask("/measure", photo)[0] == 200
    alone, before = time.monotonic() - began, served.memory_mb()
    answered: list[tuple[int, float, int]] = []
    began = time.monotonic()

    def one(number: int) -> None:
        status, _ = served.ask("/measure", photo)
        answered.append((number, time.monotonic() - began, status))

    threads = [threading.Thread(target=one, args=(number,)) for number in range(CROWD)]
    for thread in threads:
        thread.start()
        time.sleep(0.05)  # so that there is an order in which they came
    opened = []
    while any(thread.is_alive() for thread in threads):
        start = time.monotonic()
        served.open_page()
        opened.append(time.monotonic() - start)
        time.sleep(0.2)
    late = max(abs(place - number) for place, (number, _, _) in enumerate(answered))
    peak_free = served.memory_mb()
    print(json.dumps({
        "load": round(os.getloadavg()[0], 1), "photos": CROWD,
        "alone_s": round(alone, 2), "first_s": round(answered[0][1], 2),
        "first_to_alone": round(answered[0][1] / alone, 2), "last_s": round(answered[-1][1], 2),
        "statuses": sorted({status for _, _, status in answered}), "most_places_out_of_order": late,
        "page_opens_s": round(max(opened), 3), "memory_before_mb": round(before),
        "memory_after_mb": round(peak_free), "memory_ratio": round(peak_free / before, 3),
    }), flush=True)  # fmt: skip


def main() -> None:
    """Run both and stop the page."""
    options = argparse.ArgumentParser()
    options.add_argument("--damaged", type=int, default=500)
    options.add_argument("--photo", type=Path, default=SAMPLE)
    asked = options.parse_args()
    served = Served()
    try:
        crowd(served, asked.photo.read_bytes())
        counts: dict[int, int] = {}
        for seed in range(asked.damaged):
            status, body = served.ask("/measure", damaged(seed), b"" if seed % WHOLE == 0 else CARD)
            counts[status] = counts.get(status, 0) + 1
            assert status < 500 and b"Traceback" not in body, (seed, body)
        print(json.dumps({"damaged": counts}), flush=True)
        photo = asked.photo.read_bytes()
        for _ in range(CROWD):
            threading.Thread(target=served.ask, args=("/measure", photo), daemon=True).start()
        time.sleep(2)  # both workers are at it
        began = time.monotonic()
    finally:
        served.process.terminate()
        served.process.wait(30)
    print(json.dumps({"stopped_s": round(time.monotonic() - began, 2)}))


if __name__ == "__main__":
    main()
