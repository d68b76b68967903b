"""Under which names the server answers, and which addresses it tells for phones: never one that leads a phone to itself."""

import http.client
from collections.abc import Callable, Sequence
from dataclasses import replace
from ipaddress import ip_address
from types import SimpleNamespace
from urllib.parse import urlsplit

import ifaddr
import pytest
import zxingcpp
from flask import request
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from remnants_web import Settings, create_app
from remnants_web.greeting import code_for_terminal, ways_in
from remnants_web.hosts import addresses_for_others, host_names, is_known
from remnants_web.serving import Door
from tests.thorough import share
from tests.web.conftest import House
from tests.web.served import Served

OLD, NEW = "127.0.0.1", "[::1]"
NAMES = host_names("0.0.0.0", ("racks.example", "Büro.example"))
WILDCARDS = ("0.0.0.0", "::")

Machine = Callable[..., None]


@pytest.mark.parametrize(
    "asked",
    [
        *(
            "localhost",
            "LOCALHOST",
            "LocalHost:8080",
            "127.0.0.1",
            "127.0.0.1:8080",
            "[::1]",
            "[::1]:8080",
            "[0:0:0:0:0:0:0:1]:80",
        ),
        *("racks.example", "RACKS.example:443", "xn--bro-hoa.example"),
    ],
)
def test_it_answers_to_its_names_in_large_letters_and_small(asked: str) -> None:
    assert is_known(asked, NAMES)


@pytest.mark.parametrize(
    "asked",
    [
        *("", "elsewhere.example", "localhost.elsewhere.example", "127.0.0.1.elsewhere.example", "racks.example.", "127.0.0.2"),
        *("localhost@elsewhere.example", "elsewhere.example/localhost", "[::1", "::1", "[::2]", "localhost:", "localhost:x"),
        *("localhost,elsewhere.example", "localhost elsewhere.example", "192.168.1.9", "[fd00::9]", "0.0.0.0"),
    ],
)
def test_it_answers_to_no_other_name(asked: str) -> None:
    assert not is_known(asked, NAMES, "192.168.1.7")


def test_the_address_that_a_request_came_to_is_a_name_too() -> None:
    assert is_known("192.168.1.7:8080", NAMES, "192.168.1.7") and is_known("192.168.1.7", NAMES, "::ffff:192.168.1.7")
    assert is_known("[FD00::7]:8080", NAMES, "fd00::7") and not is_known("[fd00::7]", NAMES, "fd00::8")


@settings(max_examples=share(150), deadline=None)
@given(name=st.from_regex(r"\A[a-zA-Z0-9.-]{1,30}\Z"), port=st.sampled_from(("", ":80", ":8080")), here=st.ip_addresses(v=4))
def test_a_name_is_known_if_it_is_one_of_those_however_it_is_written(name: str, port: str, here: object) -> None:
    known = name.lower() in {each.lower() for each in NAMES} | {str(here)}
    assert is_known(name + port, NAMES, str(here)) is known
    assert is_known(name.swapcase() + port, (*NAMES, name), str(here))


@pytest.fixture
def machine(monkeypatch: pytest.MonkeyPatch) -> Machine:
    """Gives this machine interfaces by name, with the addresses they have."""

    def give(**interfaces: Sequence[str]) -> None:
        monkeypatch.setattr(ifaddr, "get_adapters", lambda: [
            SimpleNamespace(nice_name=name, ips=[SimpleNamespace(ip=each if "." in each else (each, 0, 0)) for each in those])
            for name, those in interfaces.items()
        ])  # fmt: skip

    return give


def test_the_addresses_of_a_shops_machine_are_told_and_not_those_within_it(machine: Machine) -> None:
    machine(lo=["127.0.0.1", "::1"], docker0=["172.17.0.1"], wlan0=["192.168.1.20", "fd00::20", "fe80::20"], eth0=["169.254.3.3"])
    assert addresses_for_others("0.0.0.0", 8080, (), https=False) == ("http://192.168.1.20:8080",)
    assert addresses_for_others("::", 8080, (), https=False) == ("http://192.168.1.20:8080", "http://[fd00::20]:8080")
    assert addresses_for_others("192.168.1.20", 80, (), https=False) == ("http://192.168.1.20:80",)
    assert addresses_for_others("127.0.0.1", 8080, ("racks.example",), https=False) == ()
    assert addresses_for_others("0.0.0.0", 8080, ("racks.example",), https=False) == ("http://racks.example:8080",)
    assert addresses_for_others("127.0.0.1", 8080, ("racks.example",), https=True) == ("https://racks.example",)
    assert addresses_for_others("127.0.0.1", 8080, ("localhost",), https=True) == ()


LISTENS = st.sampled_from(("127.0.0.1", "::1", "localhost", "127.3.2.1", *WILDCARDS)) | st.ip_addresses().map(str)
GIVEN = st.lists(
    st.sampled_from(("localhost", "LOCALHOST", "x.localhost", "127.0.0.1", "::1", "[::1]", "racks.example")), max_size=3
)


@settings(max_examples=share(300), deadline=None)
@given(listen=LISTENS, names=GIVEN, https=st.booleans(), own=st.lists(st.ip_addresses().map(str), max_size=4))
def test_no_address_of_a_loopback_is_ever_told_to_a_phone(listen: str, names: list[str], https: bool, own: list[str]) -> None:
    with pytest.MonkeyPatch.context() as patched:
        ips = [SimpleNamespace(ip=each if "." in each else (each, 0, 0)) for each in (*own, "127.0.0.1", "::1", "fe80::1")]
        patched.setattr(ifaddr, "get_adapters", lambda: [SimpleNamespace(nice_name="eth0", ips=ips)])
        door = Door(listen, 8080, tuple(names), https)
        told, first = door.reached(8080), door.address(8080)
    for address in told:
        host = urlsplit(address).hostname or ""
        assert host and not host.endswith("localhost")
        if host != "racks.example":
            assert not ip_address(host).is_loopback and not ip_address(host).is_unspecified and host != "fe80::1"
    assert not told or first in told


def test_a_server_on_the_new_loopback_is_asked_under_its_address_and_its_name(house: House) -> None:
    try:
        served = Served(house.app, threads=2, listen="::1")
    except OSError as error:
        pytest.skip(f"this machine has no IPv6: {error}")
    port = int(served.server.effective_port)
    try:
        for host in (f"[::1]:{port}", "[::1]", f"LOCALHOST:{port}", "localhost"):
            assert status_under(host, "::1", port) == 200, host
        assert status_under("elsewhere.example", "::1", port) == 400
    finally:
        served.end()


def test_a_server_answers_under_the_address_that_it_was_reached_at(settings: Settings) -> None:
    served = Served(create_app(replace(settings, hosts=("racks.example",))), threads=2)
    port = int(served.server.effective_port)
    try:
        told = [status_under(host, "127.0.0.1", port) for host in ("racks.example", f"127.0.0.1:{port}", "127.0.0.2", "[::1]")]
        assert told == [200, 200, 400, 400]
    finally:
        served.end()


def status_under(host: str, address: str, port: int) -> int:
    """The status of the sign-in page, asked for under a host's name."""
    asked = http.client.HTTPConnection(address, port, timeout=60)
    asked.putrequest("GET", "/sign-in", skip_host=True)
    asked.putheader("Host", host)
    asked.endheaders()
    answer = asked.getresponse()
    answer.read()
    asked.close()
    return answer.status


def test_the_code_in_the_terminal_is_the_address() -> None:
    lines = [
        line.removeprefix("\x1b[40;97m").removesuffix("\x1b[0m")
        for line in code_for_terminal("http://192.168.1.20:8080/").split("\n")
    ]
    light = {"█": (255, 255), "▀": (255, 0), "▄": (0, 255), " ": (0, 0)}
    rows = [[light[letter][half] for letter in line] for line in lines for half in (0, 1)]
    picture = Image.new("L", (len(rows[0]), len(rows)))
    picture.putdata([point for row in rows for point in row])
    (read,) = zxingcpp.read_barcodes(picture.resize((picture.width * 8, picture.height * 8), Image.Resampling.NEAREST))
    assert read.text == "http://192.168.1.20:8080/"


def test_what_is_said_at_the_start_tells_phones_where_to_go_and_what_they_go_without() -> None:
    told = ways_in(("http://192.168.1.20:8080", "http://10.0.0.5:8080"), https=False, code=True)
    assert told[0] == "phones and others open http://192.168.1.20:8080/ or http://10.0.0.5:8080/" and "█" in told[2]
    assert "can read along, and phones use no camera" in " ".join(told)
    assert ways_in(("https://racks.example",), https=True, code=False) == ["phones and others open https://racks.example/"]
    assert ways_in((), https=False, code=True) == ["only this machine reaches it; --listen 0.0.0.0 lets others in"]


def test_links_and_codes_made_at_the_shops_own_screen_lead_phones_to_the_shop(settings: Settings) -> None:
    shop = House(create_app(replace(settings, reached=("http://192.168.1.20:8080",))), settings)
    maud = shop.browser("Maud")
    page = maud.get("/me/phone").text
    assert "<svg" in page and "http://192.168.1.20:8080/</p>" in page and "not encrypted" in page
    for made in (maud.post("/me/device"), maud.post("/people", data={"name": "Ada", "role": "look"})):
        assert "http://192.168.1.20:8080/link/" in made.text and "http://localhost" not in made.text
    assert "Only this machine" not in maud.post("/me/device").text


def test_where_only_this_machine_reaches_the_shop_the_pages_say_so(house: House) -> None:
    maud = house.browser("Maud")
    page = maud.get("/me/phone").text
    assert "Only this machine reaches the shop just now" in page and "QR code" not in page
    assert "Only this machine reaches the shop just now" in maud.post("/me/device").text


@pytest.mark.parametrize("proxies", [0, 1, 2])
def test_who_asks_is_what_as_many_proxies_say_as_were_told_and_no_more(settings: Settings, proxies: int) -> None:
    """Of a row of addresses each proxy adds one at the end: what stands before is the asker's own word."""
    app, came_from = create_app(replace(settings, proxies=proxies)), []
    app.before_request(lambda: came_from.append(request.remote_addr))
    row = ["203.0.113.9", "198.51.100.2", "10.0.0.3"]
    app.test_client().get("/sign-in", headers={"X-Forwarded-For": ", ".join(row), "Forwarded": "for=203.0.113.9"})
    assert came_from == [row[-proxies] if proxies else "127.0.0.1"]
