"""Size, cold start and memory of the release binary, with a peer beside it in the same run.

The peer is Python's own http.server serving one file: what it takes to start some general-purpose server here.
Run after `cargo build --release`:  python3 benches/peers/start.py
"""

import os
import re
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.request

BINARY = os.path.join(os.path.dirname(__file__), "..", "..", "target", "release", "flankwise")


def fetch(url, form=None):
    with urllib.request.urlopen(urllib.request.Request(url, data=form), timeout=10) as answer:
        return answer.read()


def until_first_page(command, address_of):
    """Seconds from starting the program to the last byte of its first page, and its resident memory then."""
    begin = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    try:
        address = address_of(process)
        while True:
            try:
                fetch(address)
                break
            except OSError:
                time.sleep(0.002)
        return time.perf_counter() - begin, process, address
    except BaseException:
        process.kill()
        raise


def resident_mb(process):
    with open(f"/proc/{process.pid}/status") as status:
        return int(re.search(r"VmRSS:\s+(\d+)", status.read()).group(1)) / 1024


def ours(data):
    def address(process):
        return re.search(r"http://[\d.:]+/", process.stdout.readline()).group(0)

    return until_first_page([BINARY, "serve", "--port", "0", "--data", data], address)


def peer(port):
    command = [sys.executable, "-m", "http.server", str(port), "--bind", "127.0.0.1", "--directory", os.path.dirname(__file__)]
    return until_first_page(command, lambda _: f"http://127.0.0.1:{port}/")


def main():
    print(f"binary: {os.path.getsize(BINARY) / 1e6:.1f} MB")
    times, peers = [], []
    for n in range(9):
        with tempfile.TemporaryDirectory() as data:
            seconds, process, address = ours(data)
            times.append(seconds)
            if n == 0:
                print(f"resident after the first page: {resident_mb(process):.0f} MB")
                fetch(address + "jobs/demo", b"")
                for page in ["jobs/1", "jobs/1/bench.pdf", "jobs/1/customer.pdf", "jobs/2", "jobs/2/bench.pdf"]:
                    fetch(address + page)
                print(f"resident after both demo jobs and their sheets: {resident_mb(process):.0f} MB")
            process.kill()
            process.wait()
        seconds, process, _ = peer(18700 + n)
        peers.append(seconds)
        process.kill()
        process.wait()
    mine, theirs = statistics.median(times), statistics.median(peers)
    print(f"cold start to first page, median of 9: {1e3 * mine:.0f} ms; peer {1e3 * theirs:.0f} ms; ratio {mine / theirs:.2f}")


if __name__ == "__main__":
    main()
