"""Runs the parts of a fleet under a local Dask cluster and merges them.

usage: run.py BUBBLEMARGIN UNITS LOADS [PARTS]

Prints the merged answer. Ends with 1 if it is not, byte for byte, that of a single run.
"""

import subprocess
import sys
import tempfile
from pathlib import Path

from distributed import Client, LocalCluster

ASKED = ["--times-peak", "2", "--for", "4h", "--as-of", "2026-10-20", "--draws", "256"]
# 0: every unit may go; 3 and 4: some may not, or cannot be decided. Anything else is no part.
ANSWERED = (0, 3, 4)


def run(command: list[str]) -> bytes:
    """What a command prints, if it answered."""
    ended = subprocess.run(command, capture_output=True, check=False)
    if ended.returncode not in ANSWERED:
        raise RuntimeError(f"{command}: exit {ended.returncode}\n{ended.stderr.decode()}")
    return ended.stdout


def part(program: str, units: str, loads: str, which: str) -> bytes:
    """One part, wherever a worker is: it needs the program and the same folder."""
    flags = ["--loads", loads, *ASKED, "--part", which, "--format", "part"]
    return run([program, "fleet", units, *flags])


def main(program: str, units: str, loads: str, parts: int = 4) -> int:
    """Runs all parts, merges them, and holds them against a single run."""
    with (
        LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=None) as cluster,
        Client(cluster) as client,
        tempfile.TemporaryDirectory() as folder,
    ):
        which = [f"{number}/{parts}" for number in range(1, parts + 1)]
        found = client.gather(client.map(lambda one: part(program, units, loads, one), which))
        files = []
        for number, text in enumerate(found):
            files.append(str(Path(folder) / f"{number}.part"))
            Path(files[-1]).write_bytes(text)
        merged = run([program, "fleet", "merge", *files, "--format", "csv"])
    single = run([program, "fleet", units, "--loads", loads, *ASKED, "--format", "csv"])
    sys.stdout.buffer.write(merged)
    if merged != single:
        print("the merged parts are not the single run", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    if len(sys.argv) not in (4, 5):
        sys.exit(__doc__)
    sys.exit(main(*sys.argv[1:4], *map(int, sys.argv[4:])))
