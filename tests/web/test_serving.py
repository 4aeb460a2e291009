"""The command: its addresses, a stop while it works, and what it says where parts are missing."""

from __future__ import annotations

import http.client
import re
import signal
import socket
import subprocess
import sys
from pathlib import Path

import pytest

from printcheck.core.errors import InputError
from printcheck.web import PARTS, Wanted, install_command, run

pytest.importorskip("uvicorn", reason="the extra web is not installed")

from printcheck.web.serving import Protocol, hosts_of

SERVE = [sys.executable, "-m", "printcheck", "serve", "--port", "0"]
GIVEN_UP_S = 60  # a stop takes a second or two; a hung one fails


def started(*options: str) -> tuple[subprocess.Popen[str], str, list[str]]:
    server = subprocess.Popen([*SERVE, *options], stderr=subprocess.PIPE, text=True)
    assert server.stderr is not None
    lines: list[str] = []
    for line in server.stderr:
        lines.append(line)
        if "Ctrl-C" in line:
            break
    address = re.search(r"http://[^/\s]*:(\d+)\S*", "".join(lines))
    assert address is not None, lines
    return server, address[0], lines


@pytest.mark.skipif(sys.platform == "win32", reason="signals of POSIX")
def test_it_stops_while_uploads_wait() -> None:
    server, address, _ = started()
    port = int(re.search(r":(\d+)", address.removeprefix("http:"))[1])
    asked = http.client.HTTPConnection("127.0.0.1", port, timeout=GIVEN_UP_S)
    body = b'--x\r\ncontent-disposition: form-data; name="photo"; filename="a"\r\n\r\n'
    head = {"content-type": "multipart/form-data; boundary=x", "content-length": "5000"}
    asked.request("POST", "/measure", body=body, headers=head)  # the rest never comes
    with socket.create_connection(("127.0.0.1", port)) as silent:  # asks nothing at all
        server.send_signal(signal.SIGTERM)
        said = server.communicate(timeout=GIVEN_UP_S)[1]
        silent.close()
    assert server.returncode in (0, -signal.SIGTERM)
    assert "Traceback" not in said
    asked.close()


def test_a_shared_page_tells_a_code_in_letters() -> None:
    server, address, lines = started("--share")
    server.terminate()
    server.communicate(timeout=GIVEN_UP_S)
    assert "/?code=" in address
    assert sum("\u2580" in line or "\u2588" in line for line in lines) > 10  # rows of the QR code


def test_hosts_are_this_machine_and_the_address_told() -> None:
    assert "127.0.0.1:8421" in hosts_of("http://127.0.0.1:8421", 8421)
    assert "192.168.0.7:8421" in hosts_of("http://192.168.0.7:8421", 8421)
    assert "evil.example:8421" not in hosts_of("http://127.0.0.1:8421", 8421)


def test_a_taken_port_is_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        with pytest.raises(InputError, match="cannot be listened on"):
            run(Wanted(port=taken.getsockname()[1]), say=print)


def test_missing_parts_are_named_with_the_command_that_installs_them(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("importlib.util.find_spec", lambda name: None)
    with pytest.raises(InputError) as caught:
        run(Wanted(), say=print)
    assert all(part in caught.value.message for part in PARTS)
    command = install_command()
    assert command.startswith(sys.executable) or command.startswith("'")
    assert all(name in command for name in ("starlette", "uvicorn", "segno"))
    assert "printcheck[" not in command  # it need not be on any index


def test_a_connection_that_asks_nothing_is_closed(monkeypatch: pytest.MonkeyPatch) -> None:
    import asyncio

    import uvicorn

    monkeypatch.setattr("printcheck.web.serving.HEADERS_S", 0.1)

    async def nothing(scope: object, receive: object, send: object) -> None:
        raise AssertionError("nothing was asked")

    async def scenario() -> bytes:
        server = uvicorn.Server(
            uvicorn.Config(nothing, http=Protocol, port=0, lifespan="off", log_level="error")
        )
        serving = asyncio.create_task(server.serve())
        while not server.started:
            await asyncio.sleep(0)
        port = server.servers[0].sockets[0].getsockname()[1]
        reader, writer = await asyncio.open_connection("127.0.0.1", port)
        writer.write(b"GET / HTTP/1.1\r\nHost: x")  # and no more
        found = await reader.read()
        writer.close()
        server.should_exit = True
        await serving
        return found

    assert asyncio.run(asyncio.wait_for(scenario(), GIVEN_UP_S)) == b""


@pytest.mark.slow
@pytest.mark.timeout(900)
def test_requests_made_from_the_description_meet_no_fault_of_ours() -> None:
    tool = Path(sys.executable).with_name("schemathesis")
    if not tool.exists():
        pytest.skip("schemathesis is not installed")
    server, address, _ = started()
    checks = "not_a_server_error,status_code_conformance,content_type_conformance,response_schema_conformance"
    asked = [str(tool), "run", f"{address}openapi.json", "--checks", checks, "--max-examples", "2"]
    patient = ["--request-timeout", "120", "--seed", "7", "--no-color"]
    ran = subprocess.run([*asked, *patient], capture_output=True, text=True)
    server.terminate()
    said = server.communicate(timeout=GIVEN_UP_S)[1]
    assert ran.returncode == 0, ran.stdout[-3000:]
    assert "4 selected / 4 total" in ran.stdout
    assert "Traceback" not in said and "fault" not in said
