"""Asks the page's server over an encrypted connection (OpenSSL by way of Python's ssl).

    python3 encrypted.py path/to/loopcrest        (built with the feature `tls`; needs the openssl command)

The certificate is made for the occasion and is the only one trusted: the answer must come, the cookie must be for
encrypted connections only, an unencrypted request must get no answer, and a key of another certificate must be
refused when the server starts. Traffic goes to 127.0.0.1 only.
"""

import http.client
import json
import pathlib
import re
import socket
import ssl
import subprocess
import sys
import tempfile

PROGRAM = str(pathlib.Path(sys.argv[1]).resolve())


def certificate(folder, name):
    subprocess.run(
        [
            "openssl", "req", "-x509", "-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:prime256v1", "-nodes",
            "-days", "2", "-subj", "/CN=localhost", "-addext", "subjectAltName=DNS:localhost,IP:127.0.0.1",
            "-keyout", f"{name}.key", "-out", f"{name}.pem",
        ],
        cwd=folder, check=True, capture_output=True,
    )


def main():
    with tempfile.TemporaryDirectory() as folder:
        certificate(folder, "own")
        certificate(folder, "other")
        wrong = subprocess.run(
            [PROGRAM, "page", "--no-browser", "--tls-cert", "own.pem", "--tls-key", "other.key"],
            cwd=folder, capture_output=True, text=True, timeout=60,
        )
        assert wrong.returncode == 2 and "own.pem" in wrong.stderr, wrong
        server = subprocess.Popen(
            [PROGRAM, "page", "--no-browser", "--listen", "0.0.0.0", "--tls-cert", "own.pem", "--tls-key", "own.key"],
            cwd=folder, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
        )
        try:
            url = server.stdout.readline().strip()
            port, token = re.fullmatch(r"https://0\.0\.0\.0:(\d+)/\?token=([0-9a-f]{32})", url).groups()
            trust = ssl.create_default_context(cafile=f"{folder}/own.pem")

            def asked(path, **headers):
                connection = http.client.HTTPSConnection("localhost", int(port), context=trust, timeout=60)
                connection.request("GET", path, headers=headers)
                answer = connection.getresponse()
                return answer.status, dict(answer.getheaders()), answer.read()

            assert asked("/api/v1/choices")[0] == 401
            status, headers, _ = asked(f"/?token={token}")
            cookie = headers["set-cookie"]
            assert status == 200 and "Secure" in cookie, cookie
            own = {"Cookie": cookie.split(";")[0], "Origin": f"https://localhost:{port}"}
            status, _, body = asked("/api/v1/choices", **own)
            assert status == 200 and json.loads(body)["steps"], status
            own["Origin"] = f"http://localhost:{port}"
            assert asked("/api/v1/choices", **own)[0] == 403
            with socket.create_connection(("127.0.0.1", int(port)), timeout=60) as plain:
                plain.sendall(f"GET / HTTP/1.1\r\nhost: localhost:{port}\r\n\r\n".encode())
                try:
                    assert b"HTTP" not in plain.recv(4096)
                except ConnectionResetError:
                    pass
        finally:
            server.terminate()
        assert server.wait(30) == 0
        assert "not encrypted" not in server.stderr.read()
    print("encrypted connections: answered, and nothing else is")


main()
