"""`make bench`: every bench, the quick ones first. Ratios only.

The pages come last: the first time they fill a scratch database of 100,000 homes, which takes
minutes; it is kept under var/bench.
"""

import subprocess
import sys

from tests.bench import bench_growth, bench_pages, bench_planning, bench_ring, bench_sending


def main() -> None:
    for title, bench in (
        ("The ring check", bench_ring.bench),
        ("The forecast", bench_growth.bench),
        ("Certificates", certificates),
        ("Planning notices", bench_planning.bench),
        ("Sending notices", bench_sending.bench),
        ("Pages", bench_pages.bench),
    ):
        print(f"\n{title}", flush=True)  # noqa: T201
        bench()


def certificates() -> None:
    """In a process of its own, which sets Django up before it measures two processes."""
    subprocess.run([sys.executable, "-m", "tests.bench.bench_certificate"], check=True)


main()
