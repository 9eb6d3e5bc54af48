"""Hosts, sizes, tokens, headers, and error pages without a traceback."""

from __future__ import annotations

from pathlib import Path

import pytest
from flask import Flask, request
from page import asking

from prepkit.page import create_app, guard
from prepkit.page.guard import Settings

PHRASE = "acorn bell cedar drum eagle fern"
ELSEWHERE = Settings(host="192.0.2.10", pass_phrase=PHRASE)
# every kind of address, answered with every kind of status
ADDRESSES = (
    "/", "/make/blend", "/make/blend?part=1+kg+water", "/make/blend?part=x", "/make/none",
    "/make/blend.json?part=1+kg+water", "/make/blend.json", "/make/blend/card?part=1+kg+water",
    "/make/blend/label?part=1+kg+water", "/words", "/words?q=cream", "/words?q=nothing+like+it",
    "/cautions", "/cautions/acid", "/cautions/none", "/static/style.css", "/static/page.js",
    "/make/blend/answer.json?part=1+kg+water", "/make/blend/answer.json?part=x",
    "/make/none/answer.json", "/make/blend?part=1+kg+water&.held=part%3D2+kg+water",
    "/make/siphon?.vessel=none", "/ingredients.json", "/static/work.js",
    "/static/none", "/keep.js", "/in", "/in/x", "/join/", "/join/?code=x", "/join/paper", "/class/",
    "/class/x/", "/class/x/screen", "/stock", "/stock?find=x",
    "/make/blend/solve", "/make/blend/solve?part=1+kg+water&.find=water&.output=abv&.solve=1",
    "/make/none/solve", "/tasting/", "/tasting/?.go=1", "/tasting/x/", "/tasting/x/screen",
    "/tasting/x/sheets", "/ladder/", "/ladder/?.go=1", "/ladder/x", "/ladder/sheet",
    "/pass", "/recipes/", "/drills/", "/%00", "/%ff", "//", "/make/../make/blend",
)  # fmt: skip


def with_faults(settings: Settings | None = None) -> Flask:
    """A page with one view that fails and one that takes a form."""
    app = create_app(settings or Settings())

    @app.get("/fault")
    def fault() -> str:
        raise ZeroDivisionError("secret detail")

    @app.route("/change", methods=["GET", "POST"])
    def change() -> str:
        return guard.token() if request.method == "GET" else "changed"

    return app


@pytest.mark.parametrize("path", ADDRESSES)
def test_every_answer_is_sealed(path: str) -> None:
    answer = asking.browser().get(path)
    assert answer.status_code in (200, 302, 308, 400, 403, 404, 422)
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "frame-ancestors 'none'" in policy
    assert "base-uri 'none'" in policy
    assert "unsafe" not in policy or answer.headers["Content-Type"].startswith("text/html")
    assert answer.headers["X-Content-Type-Options"] == "nosniff"
    assert answer.headers["Referrer-Policy"] == "same-origin"
    assert answer.headers["Cache-Control"] == (
        "no-cache" if path.startswith(("/static/", "/keep.js")) else "no-store"
    )
    assert b"Traceback" not in answer.data
    answer.close()


def test_the_policy_of_pages_lets_nothing_inline_in() -> None:
    policy = asking.browser().get("/").headers["Content-Security-Policy"]
    assert "script-src 'self'" in policy
    assert "style-src 'self'" in policy
    assert "form-action 'self'" in policy
    assert "unsafe" not in policy


def test_a_document_has_its_style_inside_and_no_script() -> None:
    answer = asking.browser().get("/make/blend/card?part=1+kg+water")
    policy = answer.headers["Content-Security-Policy"]
    assert "script" not in policy
    assert "style-src 'unsafe-inline'" in policy
    assert not list(asking.tree(answer).all("script"))


@pytest.mark.parametrize("path", ["/", "/make/siphon", "/words", "/cautions/acid"])
def test_pages_hold_no_inline_script_or_style(path: str) -> None:
    page = asking.tree(asking.browser().get(path))
    scripts = [one.attributes.get("src", "") for one in page.all("script")]
    assert all(one.startswith("/static/") for one in scripts)
    assert list(page.all("style")) == []
    names = {name for one in page.all() for name in one.attributes}
    assert "style" not in names
    assert not {name for name in names if name.startswith("on")}


# hosts


@pytest.mark.parametrize("host", ["127.0.0.1", "127.0.0.1:8642", "localhost", "[::1]:8642"])
def test_the_page_answers_to_its_own_names(host: str) -> None:
    assert asking.browser().get("/", headers={"Host": host}).status_code == 200


@pytest.mark.parametrize(
    "host",
    ["evil.example", "127.0.0.1.evil.example", "localhost.evil.example", "192.0.2.1", "", "[::2]"],
)
def test_another_name_is_refused(host: str) -> None:
    for path in (
        "/make/blend?part=1+kg+water", "/make/blend/solve?part=1+kg+water", "/tasting/",
        "/ladder/", "/join/paper",
    ):  # fmt: skip
        answer = asking.browser().get(path, headers={"Host": host})
        assert answer.status_code == 400
        assert b"dissolved" not in answer.data
        assert b"<form" not in answer.data


def test_elsewhere_numbers_are_taken_and_foreign_names_are_not() -> None:
    for host, good in (("192.0.2.10:80", True), ("10.1.2.3", True), ("evil.example", False)):
        assert guard.known_host(host, ELSEWHERE) is good


# sizes


def test_too_much_is_refused() -> None:
    browser = asking.browser()
    long = "x" * (guard.MOST_LETTERS + 1)
    assert browser.get(f"/make/blend?part={long}").status_code == 413
    assert browser.get(f"/make/blend?{long}=1").status_code == 413
    assert browser.get("/make/blend?" + "part=1&" * 3000).status_code == 414
    many = "&".join(f"a{n}" for n in range(guard.MOST_FIELDS + 1))
    assert browser.get(f"/make/blend?{many}").status_code == 413
    for path in ("/pass", "/tasting/", "/tasting/x/answer", "/ladder/", "/join/paper"):
        assert browser.post(path, data=b"x" * (guard.MOST_BYTES + 1)).status_code == 413
    for path in ("/tasting/", "/ladder/", "/ladder/sheet", "/make/blend/solve"):
        assert browser.get(f"{path}?part={long}").status_code == 413
        assert browser.get(f"{path}?" + "part=1&" * 3000).status_code == 414
    assert browser.get("/make/blend?part=1+kg+water%00").status_code == 400


def test_many_rows_are_refused_in_words() -> None:
    answer = asking.browser().get("/make/blend?" + "&".join(["part=1+g+water"] * 25))
    assert answer.status_code == 422
    assert "25 rows; at most 24" in asking.tree(answer).text


# tokens


def test_a_form_without_the_token_changes_nothing() -> None:
    browser = with_faults().test_client()
    assert browser.post("/change").status_code == 403
    token = browser.get("/change").get_data(as_text=True)
    assert browser.post("/change").status_code == 403
    assert browser.post("/change", data={"token": token[:-1]}).status_code == 403
    assert browser.post("/change", data={"token": "ü" + token}).status_code == 403
    assert browser.post(f"/change?token={token}").status_code == 403
    assert browser.post("/change", data={"token": token}).get_data(as_text=True) == "changed"


def test_a_token_of_another_browser_is_refused() -> None:
    app = with_faults()
    first, second = app.test_client(), app.test_client()
    token = first.get("/change").get_data(as_text=True)
    second.get("/change")
    assert second.post("/change", data={"token": token}).status_code == 403


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "http://localhost:1"])
def test_a_form_from_elsewhere_is_refused(origin: str) -> None:
    browser = with_faults().test_client()
    token = browser.get("/change").get_data(as_text=True)
    data = {"token": token}
    assert browser.post("/change", data=data, headers={"Origin": origin}).status_code == 403
    own = {"Origin": "http://localhost"}
    assert browser.post("/change", data=data, headers=own).status_code == 200


def test_the_cookie_is_kept_to_this_site() -> None:
    cookie = with_faults().test_client().get("/change").headers["Set-Cookie"]
    assert "HttpOnly" in cookie
    assert "SameSite=Strict" in cookie


def test_looking_gives_no_cookie() -> None:
    for path in ("/", "/make/blend", "/make/blend?part=1+kg+water"):
        assert "Set-Cookie" not in asking.browser().get(path).headers


@pytest.mark.parametrize("method", ["put", "delete", "patch", "post"])
def test_other_methods_are_told_so(method: str) -> None:
    answer = getattr(asking.browser(), method)("/make/blend")
    assert answer.status_code in (403, 405)


# faults and files


def test_a_fault_is_told_without_its_inside(caplog: pytest.LogCaptureFixture) -> None:
    answer = with_faults().test_client().get("/fault")
    assert answer.status_code == 500
    assert b"secret" not in answer.data
    assert b"Traceback" not in answer.data
    assert "ZeroDivisionError" in caplog.text


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py", "/static/..%2fapp.py", "/static/%2e%2e/guard.py",
        "/static//etc/passwd", "/static/..%5capp.py", "/make/..%2f..%2fetc%2fpasswd",
        "/class/..%2f..%2fetc%2fpasswd/", "/join/..%2f..%2fetc%2fpasswd", "/in/..%2fguard.py",
        "/cautions/..%2f..%2fpyproject.toml", "/words/../../etc/passwd",
        "/stock/..%2f..%2fetc%2fpasswd", "/stock/../app.py",
        "/tasting/..%2f..%2fetc%2fpasswd/", "/tasting/..%2fapp.py/sheets",
        "/ladder/..%2f..%2fetc%2fpasswd", "/ladder/../app.py", "/ladder/..%5c..%5capp.py",
    ],
)  # fmt: skip
def test_no_file_outside_is_read(path: str) -> None:
    answer = asking.browser().get(path)
    assert answer.status_code in (308, 404)
    assert b"import" not in answer.data
    assert b"root:" not in answer.data


@pytest.mark.parametrize(
    ("vessel", "register"),
    [
        ("vessel", "vessel_register"), ("vessel", "vessel-register"),
        ("--vessel", "--vessel-register"), ("-vessel", "-vessel_register"),
    ],
)  # fmt: skip
def test_a_register_of_vessels_is_no_way_to_files(
    tmp_path: Path, vessel: str, register: str
) -> None:
    secret = tmp_path / "register.toml"
    secret.write_text('[north]\nrated = "17 bar"\n')
    pairs = {**dict(asking.words_of(SIPHON)[1]), vessel: "north", register: str(secret)}
    for of in ("", ".json", "/card", "/label"):
        answer = asking.browser().get(asking.address("siphon", pairs, of), follow_redirects=True)
        assert answer.status_code == 422
        assert b"this page opens none" in answer.data
    made = f"siphon?{register}={secret}&{vessel}=north&contents=1+g+water"
    answer = asking.browser().get(asking.address("blend", {"part": "1 g water", ".made": made}))
    assert answer.status_code == 422


SIPHON = (
    'prepkit siphon --contents "500 ml cream 35 %" --vessel-volume "0.78 l" --max-fill "0.5 l" '
    '--rated "17 bar" --gas n2o --chargers 1 --temperature "5 C"'
)
