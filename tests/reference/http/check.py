"""Plays the page's server by its own OpenAPI document with a general tool for that (schemathesis).

    python3 check.py path/to/loopcrest        (needs the package schemathesis; written with 4.32)

Examples, edges and seeded random requests, right and wrong ones, go to every operation of a server without and of
one with a logbook. No answer may be a fault of the server, and each must have a status, a media type and a body the
document promises. Then the same with a document that promises something else, which must be found: a check that
lets everything pass would be none. Traffic goes to 127.0.0.1 only.
"""

import json
import pathlib
import shutil
import subprocess
import sys
import tempfile
import urllib.request

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())
TOOL = shutil.which("schemathesis") or str(pathlib.Path(sys.executable).with_name("schemathesis"))
CHECKS = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance"
# Begins work that goes on: when all its places are taken it answers 503, as it should.
BEGINS_WORK = "/api/v1/estimates"


class Served:
    def __init__(self, folder, *arguments):
        self.process = subprocess.Popen(
            [PROGRAM, "page", "--no-browser", *arguments],
            cwd=folder,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        self.url = self.process.stdout.readline().strip().rstrip("/")
        if not self.url.startswith("http://127.0.0.1:"):
            sys.exit(f"no address: {self.process.stderr.read()}")

    def __enter__(self):
        return self

    def __exit__(self, *_):
        self.process.terminate()
        said = self.process.stderr.read()
        if self.process.wait(30) != 0 or said:
            sys.exit(f"the server ended with {self.process.returncode}: {said}")


def played(document, url, folder, *options):
    command = [TOOL, "run", str(document), "--url", url, "--seed", "9", "--request-timeout", "120"]
    command += ["--workers", "1", "--suppress-health-check", "all", *options]
    return subprocess.run(command, cwd=folder, capture_output=True, text=True)


def main():
    with tempfile.TemporaryDirectory() as folder:
        folder = pathlib.Path(folder)
        subprocess.run([PROGRAM, "starter", "bench.toml"], cwd=folder, check=True, capture_output=True)
        for arguments in ([], ["bench.toml", "--logbook", "visits.sqlite"]):
            with Served(folder, *arguments) as served:
                with urllib.request.urlopen(f"{served.url}/api/v1/openapi.json") as answer:
                    text = answer.read()
                document = folder / "openapi.json"
                document.write_bytes(text)
                operations = sum(len(methods) for methods in json.loads(text)["paths"].values())
                done = played(
                    document, served.url, folder, "--checks", CHECKS, "--max-examples", "15",
                    "--exclude-path", BEGINS_WORK,
                )
                if done.returncode != 0:
                    sys.exit(done.stdout[-8000:] + done.stderr[-2000:])
                rest = CHECKS.replace("not_a_server_error,", "")
                done = played(
                    document, served.url, folder, "--checks", rest, "--max-examples", "15",
                    "--include-path", BEGINS_WORK,
                )
                if done.returncode != 0:
                    sys.exit(done.stdout[-8000:] + done.stderr[-2000:])
                print(f"{' '.join(arguments) or 'without a logbook'}: {operations} operations played")
        with Served(folder) as served:
            other = json.loads(text)
            other["components"]["schemas"]["Choices"]["properties"]["title"] = {"type": "integer"}
            del other["paths"]["/api/v1/situation"]["get"]["responses"]["422"]
            wrong = folder / "wrong.json"
            wrong.write_text(json.dumps(other))
            for path in ("/api/v1/choices", "/api/v1/situation"):
                done = played(
                    wrong, served.url, folder, "--checks", CHECKS, "--max-examples", "15",
                    "--include-path", path,
                )
                if done.returncode == 0:
                    sys.exit(f"{path}: a wrong document was not found out")
        print("a document that promises something else is found out")


main()
