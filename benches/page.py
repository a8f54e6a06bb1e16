#!/usr/bin/env python3
"""The page's server under load: requests a second for one operating point, the 95th percentile of the
time to an answer, and the memory of the server, by number of clients.

Usage: python3 benches/page.py [PROGRAM]        (builds the release when no program is named)
Exits with 1 when a target is missed. On a machine that is busy with other work the times say little; the clients
run on the same processors.
"""
import http.client
import json
import pathlib
import statistics
import subprocess
import sys
import threading
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
SECONDS = 5.0
CLIENTS = (1, 2, 8, 32)
# Targets: milliseconds within which 95 % are answered by clients number, megabytes held.
MOST_MS, MOST_MB = {1: 50.0, 8: 200.0}, 200.0


def program():
    if len(sys.argv) > 1:
        return sys.argv[1]
    subprocess.run(["cargo", "build", "--quiet", "--release"], cwd=ROOT, check=True)
    return str(ROOT / "target" / "release" / "loopcrest")


def memory_mb(pid, key):
    for line in open(f"/proc/{pid}/status"):
        if line.startswith(key):
            return int(line.split()[1]) / 1024
    return float("nan")


def client(port, number, until, times_s, refused):
    connection = http.client.HTTPConnection("127.0.0.1", port)
    turn = number
    while time.perf_counter() < until:
        # A slider that moves: another load each time, near the last one.
        load = 5 + (turn * 7) % 90
        turn += 1
        start = time.perf_counter()
        connection.request("GET", f"/api/v1/situation?step={1 + number % 5}&load={load}%25&meter=average")
        answer = connection.getresponse()
        body = answer.read()
        if answer.status == 200:
            times_s.append(time.perf_counter() - start)
            seen = json.loads(body)["situation"]
            assert seen["step"]["number"] == 1 + number % 5
        else:
            assert answer.status == 503, answer.status
            refused.append(1)
            time.sleep(0.05)


def main():
    process = subprocess.Popen(
        [program(), "page", "--no-browser"], stdout=subprocess.PIPE, text=True
    )
    missed = []
    try:
        port = int(process.stdout.readline().strip().rstrip("/").rsplit(":", 1)[1])
        print(f"{memory_mb(process.pid, 'VmRSS:'):.1f} MB at the beginning")
        for clients in CLIENTS:
            times_s, refused = [], []
            until = time.perf_counter() + SECONDS
            threads = [
                threading.Thread(target=client, args=(port, number, until, times_s, refused))
                for number in range(clients)
            ]
            for thread in threads:
                thread.start()
            for thread in threads:
                thread.join()
            p95_ms = 1e3 * statistics.quantiles(times_s, n=20)[-1]
            print(
                f"{clients} clients: {len(times_s) / SECONDS:.0f} requests a second, half within "
                f"{1e3 * statistics.median(times_s):.1f} ms, 95 % within {p95_ms:.1f} ms, "
                f"{len(refused)} times busy"
            )
            if p95_ms > MOST_MS.get(clients, float("inf")):
                missed.append(f"{clients} clients: {p95_ms:.1f} ms")
        most_mb = memory_mb(process.pid, "VmHWM:")
        print(f"{most_mb:.1f} MB at most")
        if most_mb > MOST_MB:
            missed.append(f"{most_mb:.1f} MB")
    finally:
        process.terminate()
    if process.wait(30) != 0:
        missed.append(f"the server ended with {process.returncode}")
    for miss in missed:
        print("missed:", miss)
    sys.exit(1 if missed else 0)


main()
