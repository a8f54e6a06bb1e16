"""Times and weighs a lesson of 200 frames with three meters, built by the release program.

    cargo build --release && python3 benches/lesson.py
"""

import pathlib
import subprocess
import sys
import tempfile
import time

PROGRAM = pathlib.Path(__file__).parent.parent / "target" / "release" / "loopcrest"
SLIDER = """
[slider.large]
title = "Large"
steps = [1, 2, 3, 4, 5]
loads = ["25 %", "50 %", "75 %", "100 %"]
lamps-out = [{lamps}]
meters = ["average", "peak", "true-rms"]
+++
{{{{ slider large }}}}
"""
LIMIT_S, LIMIT_BYTES = 5.0, 3_000_000


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        file, page = pathlib.Path(folder, "large.md"), pathlib.Path(folder, "large.html")
        run = [PROGRAM, "starter", "--lesson"]
        text = subprocess.run(run, check=True, capture_output=True, text=True).stdout
        lamps = ", ".join(f'"{3 * k} %"' for k in range(10))
        file.write_text(text.replace("\n+++\n", SLIDER.format(lamps=lamps), 1))
        times = []
        for _ in range(3):
            began = time.monotonic()
            build = [PROGRAM, "lesson", file, "--out", page, "--replace"]
            subprocess.run(build, check=True, capture_output=True)
            times.append(time.monotonic() - began)
        bytes_ = page.stat().st_size
    best = min(times)
    print(f"200 frames with three meters and two figures: {best:.2f} s, {bytes_} bytes")
    return 0 if best < LIMIT_S and bytes_ < LIMIT_BYTES else 1


if __name__ == "__main__":
    sys.exit(main())
