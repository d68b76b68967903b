"""The guide's recipe for encrypting, followed word for word: its certificate, nginx in front, and what a browser gets by it."""

import hashlib
import http.client
import os
import re
import shutil
import socket
import ssl
import subprocess
import time
from base64 import b64encode
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlencode

import pytest
from flask import Flask, request
from playwright.sync_api import Playwright

from remnants.actions import open_catalogue
from remnants.actions.log_pieces import log_pieces
from remnants.exchange import read_stock
from remnants_web import create_app
from remnants_web.serving import Door
from remnants_web.settings import Settings
from tests.ports import free_port
from tests.stock_values import SIGNED
from tests.web.browser.conftest import CHROMIUM, FLAGS
from tests.web.conftest import PASSPHRASE, Clock, House
from tests.web.served import Served
from tests.web.stock import STOCK

GUIDE = (Path(__file__).parents[3] / "docs" / "how-to" / "encrypt.md").read_text(encoding="utf-8")
NAME = "racks.example"


def block(language: str) -> str:
    """The guide's one block of code in a language."""
    (found,) = re.findall(rf"^```{language}\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)
    return str(found)


def program(name: str, package: str) -> str:
    """Where a program is; where it isn't, the test tells how it comes."""
    found = shutil.which(name, path="/usr/local/sbin:/usr/sbin:/usr/local/bin:/usr/bin:/bin")
    if found is None:
        pytest.fail(f"{name} isn't on this machine: `apt-get install {package}`, or `sh tests/run.sh` as root, brings it")
    return found


SETTLED = """
daemon off; pid {folder}/pid; error_log stderr; worker_processes 1; {user}
events {{}}
http {{
    access_log off;
    client_body_temp_path {folder}/body; proxy_temp_path {folder}/proxy; fastcgi_temp_path {folder}/fastcgi;
    uwsgi_temp_path {folder}/uwsgi; scgi_temp_path {folder}/scgi;
    include {folder}/racks;
}}
"""
"""What Debian's own settings do around the guide's, in a folder of the test."""


@dataclass(frozen=True)
class Shop:
    """The pages behind nginx: where they are reached, encrypted and plain; and from where each request seemed to come."""

    house: House
    folder: Path
    port: int
    plain_port: int
    came_from: list[str]

    def trusting(self) -> ssl.SSLContext:
        """A phone that trusts the shop's own authority and none else."""
        return ssl.create_default_context(cafile=str(self.folder / "shop.crt"))

    def ask(self, method: str, path: str, body: str = "", **headers: str) -> tuple[http.client.HTTPResponse, str]:
        """An answer over the encrypted line, and its text."""
        raw = socket.create_connection(("127.0.0.1", self.port), timeout=60)
        asked = http.client.HTTPConnection(NAME, timeout=60)
        asked.sock = self.trusting().wrap_socket(raw, server_hostname=NAME)
        given = {"Sec-Fetch-Site": "same-origin", "Accept": "text/html", "Content-Type": "application/x-www-form-urlencoded"}
        asked.request(method, path, body, given | {name.replace("_", "-"): text for name, text in headers.items()})
        answer = asked.getresponse()
        told = answer.read().decode()
        asked.close()
        return answer, told


def site(folder: Path, port: int, plain_port: int, behind: int) -> str:
    """The guide's settings for nginx with this test's folder and ports; without IPv6 where the machine has none."""
    text = block("nginx")
    for told, here in (
        ("/etc/nginx/", f"{folder}/"),
        ("127.0.0.1:8080", f"127.0.0.1:{behind}"),
        ("443 ssl;", f"{port} ssl;"),
        ("listen 80;", f"listen {plain_port};"),
        ("[::]:80;", f"[::]:{plain_port};"),
    ):
        assert told in text, f"the guide tells no {told}"
        text = text.replace(told, here)
    try:
        socket.create_server(("::1", 0), family=socket.AF_INET6).close()
    except OSError:
        text = re.sub(r"listen \[::\].*;", "", text)
    return text


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Shop]:
    """The recipe, from its first line to its last."""
    folder, made = tmp_path_factory.mktemp("racks"), tmp_path_factory.mktemp("stock")
    program("openssl", "openssl")
    done = subprocess.run(["sh", "-e", "-c", block("sh")], cwd=folder, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    door = Door(hosts=(NAME,), https=True, proxies=1)
    assert "remnants serve --https --host racks.example --proxies 1\n" in GUIDE, "as this door is"
    came_from: list[str] = []
    house = house_behind(door.settings(made / "stock.db", now=Clock()), came_from)
    served = Served(house.app, threads=4)
    port, plain_port = free_port(), free_port()
    (folder / "racks").write_text(site(folder, port, plain_port, int(served.server.effective_port)))
    user = "user root;" if os.geteuid() == 0 else ""
    (folder / "nginx.conf").write_text(SETTLED.format(folder=folder, user=user))
    with subprocess.Popen(
        [program("nginx", "nginx"), "-c", str(folder / "nginx.conf"), "-p", str(folder)], stderr=subprocess.PIPE
    ) as nginx:
        try:
            wait_for(nginx, port)
            yield Shop(house, folder, port, plain_port, came_from)
        finally:
            nginx.terminate()
            nginx.wait(60)
            served.end()


def house_behind(settings: Settings, came_from: list[str]) -> House:
    """A shop with three people that notes where each request came from."""
    with open_catalogue(settings.catalogue, write=True) as catalogue:
        log_pieces(catalogue, read_stock(STOCK), signed=SIGNED)
    app: Flask = create_app(settings)

    @app.before_request
    def note() -> None:
        came_from.append(request.remote_addr or "")

    return House(app, settings)


def wait_for(nginx: "subprocess.Popen[bytes]", port: int) -> None:
    """Until nginx answers; where it ends instead, the test tells what it said."""
    while nginx.poll() is None:
        try:
            socket.create_connection(("127.0.0.1", port), timeout=5).close()
            return
        except OSError:
            time.sleep(0.05)
    assert nginx.stderr is not None
    pytest.fail(f"nginx took the guide's settings for wrong: {nginx.stderr.read().decode()}")


def test_a_phone_that_trusts_the_shops_authority_signs_in_and_its_cookie_never_leaves_the_line(shop: Shop) -> None:
    form = urlencode({"name": "Maud", "passphrase": PASSPHRASE})
    answer, _ = shop.ask("POST", "/sign-in", form, Origin=f"https://{NAME}")
    assert answer.status == 303
    cookie = answer.headers["Set-Cookie"]
    assert cookie.startswith("__Host-remnants=") and {"Secure", "HttpOnly", "Path=/", "SameSite=Lax"} <= set(cookie.split("; "))
    assert answer.headers["Strict-Transport-Security"] == "max-age=31536000; includeSubDomains"
    assert answer.headers["Permissions-Policy"].startswith("camera=(self)")
    home, told = shop.ask("GET", "/", Cookie=cookie.partition(";")[0])
    assert home.status == 200 and "Maud" in told
    assert not re.search(r"\d", home.headers["Server"]), "nothing tells a version"


def test_what_is_asked_in_the_clear_is_led_to_the_encrypted_address(shop: Shop) -> None:
    asked = http.client.HTTPConnection("127.0.0.1", shop.plain_port, timeout=60)
    asked.request("GET", "/find?words=loop", headers={"Host": NAME})
    answer = asked.getresponse()
    assert (answer.status, answer.headers["Location"]) == (301, f"https://{NAME}/find?words=loop")
    asked.close()


def test_the_certificate_stands_for_the_shops_name_alone(shop: Shop) -> None:
    for name, phone in (("elsewhere.example", shop.trusting()), (NAME, ssl.create_default_context())):
        with socket.create_connection(("127.0.0.1", shop.port), timeout=60) as raw, pytest.raises(ssl.SSLCertVerificationError):
            phone.wrap_socket(raw, server_hostname=name)


@pytest.mark.parametrize(("version", "spoken"), [("-tls1", False), ("-tls1_1", False), ("-tls1_2", True), ("-tls1_3", True)])
def test_old_ways_of_encrypting_are_not_spoken(shop: Shop, version: str, spoken: bool) -> None:
    words = [program("openssl", "openssl"), "s_client", "-connect", f"127.0.0.1:{shop.port}", version]
    done = subprocess.run([*words, "-cipher", "DEFAULT:@SECLEVEL=0"], input=b"", capture_output=True, check=False)
    assert (done.returncode == 0) is spoken, done.stderr.decode()


@pytest.mark.parametrize("cipher", ["AES128-GCM-SHA256", "ECDHE-ECDSA-AES128-SHA", "ALL:!kECDHE:!kDHE"])
def test_weak_ciphers_are_not_spoken(shop: Shop, cipher: str) -> None:
    """Without forward secrecy, or without authentication of what is sent."""
    words = [program("openssl", "openssl"), "s_client", "-connect", f"127.0.0.1:{shop.port}", "-tls1_2"]
    done = subprocess.run([*words, "-cipher", f"{cipher}:@SECLEVEL=0"], input=b"", capture_output=True, check=False)
    assert done.returncode != 0 and b"handshake failure" in done.stderr, done.stderr.decode()


def test_nobody_brings_an_address_of_their_own_choice(shop: Shop) -> None:
    """Guessing is slowed by address, so it must be nginx's word and no one's else."""
    shop.came_from.clear()
    shop.ask("GET", "/sign-in", X_Forwarded_For="203.0.113.9", Forwarded="for=203.0.113.9", X_Real_IP="203.0.113.9")
    assert shop.came_from == ["127.0.0.1"]


def test_a_browser_takes_it_for_safe_and_gives_it_the_camera_and_a_store_of_pages(shop: Shop, driver: Playwright) -> None:
    key = subprocess.run(
        "openssl x509 -in racks.crt -pubkey -noout | openssl pkey -pubin -outform der",
        shell=True, cwd=shop.folder, capture_output=True, check=True,
    ).stdout  # fmt: skip
    trusted = b64encode(hashlib.sha256(key).digest()).decode()
    flags = [
        *FLAGS,
        f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
        f"--ignore-certificate-errors-spki-list={trusted}",
        "--use-fake-device-for-media-stream",
        "--use-fake-ui-for-media-stream",
    ]
    told = seen_in(driver, flags, f"https://{NAME}:{shop.port}/sign-in")
    assert told == {"safe": True, "camera": "live", "store": True, "cookie": ""}


def seen_in(driver: Playwright, flags: list[str], address: str) -> object:
    """What a page of the shop may do in a browser."""
    browser = driver.chromium.launch(executable_path=CHROMIUM, args=flags)
    try:
        page = browser.new_page()
        page.goto(address)
        return page.evaluate(
            """async () => ({
                safe: isSecureContext,
                camera: (await navigator.mediaDevices.getUserMedia({ video: true })).getVideoTracks()[0].readyState,
                store: "serviceWorker" in navigator && !!(await navigator.serviceWorker.register("/worker.js")),
                cookie: document.cookie,
            })"""
        )
    finally:
        browser.close()
