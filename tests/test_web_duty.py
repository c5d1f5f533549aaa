"""The duty of a case on the bench: what is typed becomes events, what is wrong is said at its field, answers follow."""

import re
from collections.abc import Iterator
from html import unescape
from pathlib import Path
from typing import Any

import axe_playwright_python
import pytest

import case_files
import web_app
from chaincase.catalog.table import Catalog
from chaincase.register.accounts import Role
from chaincase.web.desk_duty_changes import proposal
from chaincase.web.desk_duty_draft import Draft, as_it_stands, typed
from chaincase.web.desk_duty_fields import entered, shown
from chaincase.web.desk_duty_parts import FORMS, PULL, SPROCKETS
from chaincase.web.desk_entries import Author
from chaincase.web.desk_story import place_in_words
from chaincase.web.server import Server

needs_browser = pytest.mark.skipif(web_app.CHROMIUM is None, reason="there is no chromium (make browser)")
AXE = Path(axe_playwright_python.__file__).with_name("axe.min.js")
LEVEL = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
TOO_WIDE = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
HERE = Author("millwright, day shift", "2026-03-01")
READY = "#duty[data-ready]"
CHOSEN = {"designation": "16B-1", "by": "application engineer"}
RUNS = {
    "pull.runs.listed": "yes",
    "pull.runs.0.came": "",
    "pull.runs.0.length": "18 m",
    "pull.runs.1.loss": "0.1",
    "pull.runs.2.length": "18 m",
    "pull.runs.2.slope": "rise 3 m",
    "pull.runs.2.loaded": "yes",
    "pull.runs.7.name": "",
}
PULL_TYPED = {
    "pull.conveyor": "slat",
    "pull.speed": "12 m/min",
    "pull.strands": "2",
    "pull.chain_mass": "14 kg/m",
    "pull.material.per_length": "40 kg/m",
    "pull.friction": "steel, dry",
    **RUNS,
}


def started(tmp_path: Path, **content: Any) -> Any:
    client = web_app.client(tmp_path)
    assert client.post("/api/v1/cases", json={"case": "T-1", "content": content}).status_code == 201
    return client


def content_of(client: Any) -> dict[str, Any]:
    return dict(client.get("/api/v1/cases/T-1").json()["content"])


def fields_of(text: str) -> dict[str, str]:
    """Give what a page carries along to be sent back."""
    hidden = re.findall(r'<input type="hidden" name="(was|base)"(?: id="\w+")? value="([^"]*)"', text)
    return {name: unescape(value) for name, value in hidden}


def keep(client: Any, typed_in: dict[str, str], **how: Any) -> Any:
    return client.post("/bench/T-1/duty", data=typed_in, follow_redirects=False, **how)


def value_of(text: str, name: str) -> str:
    found = re.search(rf'id="{re.escape(name)}" name="{re.escape(name)}" value="([^"]*)"', text)
    assert found is not None, name
    return unescape(found[1])


def fault_at(text: str, name: str) -> str:
    found = re.search(rf'id="{re.escape(name)}-fault">([^<]*)', text)
    return unescape(found[1]) if found else ""


def test_a_conveyor_is_entered_and_answered_without_scripts(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN)
    assert "not asked" in client.get("/bench/T-1").text
    done = keep(client, {**PULL_TYPED, "do": "keep"})
    assert done.status_code == 303
    pull = content_of(client)["duty"]["pull"]
    assert (pull["speed"], pull["strands"], pull["friction"]) == ("12 m/min", 2, "steel, dry")
    runs = [{key: value for key, value in each.items() if key != "id"} for each in pull["runs"]]
    assert runs == [{"length": "18 m"}, {"loss": 0.1}, {"length": "18 m", "rise": "3 m", "loaded": True}]
    page = client.get(done.headers["location"].partition("#")[0]).text
    assert "Kept: 1 change." in page
    assert "largest pull, all strands" in page
    assert "<title>What the pull of all strands is made of</title>" in page
    assert "friction on the track: 0.35" in page
    assert "lock and tag every source of energy" in page
    assert value_of(page, "pull.runs.2.slope") == "rise 3 m"
    bench = client.get("/bench/T-1").text
    assert re.search(r'duty-link" href="/bench/T-1/duty">Duty <span class="second">[^<]*carr', bench)


def test_nothing_typed_is_lost_where_something_cannot_be_read(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN)
    wrong = {
        **PULL_TYPED,
        "pull.speed": "12",
        "pull.friction": "grease",
        "pull.runs.2.slope": "95 deg",
        "sprockets.listed": "yes",
        "sprockets.0.teeth": "two",
        "sprockets.0.outside": "151 bananas",
        "drive.power": "5",
        "verdict.candidate": "no such chain",
    }
    shown = keep(client, wrong)
    assert shown.status_code == 422
    for name in ("pull.speed", "sprockets.0.teeth", "sprockets.0.outside", "drive.power", "verdict.candidate"):
        assert value_of(shown.text, name) == wrong[name]
        assert fault_at(shown.text, name), name
        assert f'href="#{name}"' in shown.text
    assert "no unit" in fault_at(shown.text, "pull.speed")
    assert "from -90 to 90" in fault_at(shown.text, "pull.runs.2.slope")
    assert "not a friction pair" in fault_at(shown.text, "pull.friction")
    assert "missing" in fault_at(shown.text, "drive.rpm")
    assert "Nothing is kept yet: 9 things" in shown.text
    assert client.get("/api/v1/cases/T-1").json()["version"] == 1
    assert content_of(client).get("duty") is None


@pytest.mark.parametrize(
    ("typed_in", "name", "words"),
    [
        ({"length.teeth[0]": "17", "length.centers": "800 mm"}, "length.teeth[1]", "missing"),
        ({"length.teeth[0]": "17", "length.teeth[1]": "x", "length.centers": "1 m"}, "length.teeth[1]", "teeth"),
        ({**PULL_TYPED, "pull.friction.roller_diameter": "60 mm"}, "pull.friction", "said twice"),
        ({**PULL_TYPED, "pull.material.flow": "80 t/h"}, "pull.material.flow", "given twice"),
        ({**PULL_TYPED, "pull.runs.1.length": "3 m"}, "pull.runs.1.length", "straight and a turn"),
        ({"wear.limit": "2"}, "wear.limit", "percentage"),
        (
            {"wear.readings.listed": "yes", "wear.readings.4.on": "1 March", "wear.readings.4.length": "40 in"},
            "wear.readings.0.on",
            "no date",
        ),
        (
            {"wear.parts.listed": "yes", "wear.parts.0.part": "pin", "wear.parts.0.new": "19 mm"},
            "wear.parts.0.worn",
            "missing",
        ),
        ({"sprockets.listed": "yes", "sprockets.0.stamp": "80B17"}, "sprockets.0.teeth", "missing"),
        ({"sprockets.listed": "yes", "sprockets.0.teeth": "17", "sprockets.0.chain": "X"}, "sprockets.0.chain", "X"),
        ({"verdict.years": "many", "verdict.candidate": "16B-1"}, "verdict.years", "finite number"),
        ({"drive.power": "5 kW", "drive.rpm": "300", "drive.teeth": "21", "drive.large_teeth": "17"}, "drive", "less"),
    ],
)  # fmt: skip
def test_a_fault_stands_at_its_field(tmp_path: Path, typed_in: dict[str, str], name: str, words: str) -> None:
    client = started(tmp_path)
    shown = keep(client, typed_in)
    assert shown.status_code == 422
    said = fault_at(shown.text, name) or unescape(
        "".join(re.findall(rf'href="#{re.escape(name)}">.*?</a>: ([^<]*)', shown.text))
    )
    assert re.search(words, said), said
    assert client.get("/api/v1/cases/T-1").json()["version"] == 1


def test_what_is_measured_on_a_sprocket_stands_with_the_evidence(tmp_path: Path) -> None:
    client = started(tmp_path)
    row = {"sprockets.listed": "yes", "sprockets.0.teeth": "17"}
    keep(client, row)
    assert content_of(client)["duty"]["sprockets"][0]["teeth"] == 17
    page = client.get("/bench/T-1/duty").text
    came = re.search(r'name="sprockets.0.came" value="([^"]+)"', page)
    assert came is not None
    measured = {
        **fields_of(page), **row, "sprockets.0.came": came[1], "sprockets.0.outside": "151.2 mm",
        "sprockets.0.caliper": "121.4 mm", "sprockets.0.instrument": "caliper", "sprockets.0.stamp": "80B17",
    }  # fmt: skip
    assert keep(client, measured).status_code == 303
    kept = content_of(client)
    assert kept["duty"]["sprockets"] == []
    wheel = kept["wheels"][0]
    assert [each["value"] for each in wheel["readings"]] == ["151.2 mm", "121.4 mm"]
    assert (wheel["text"], wheel["by"]) == ("80B17", "this computer")
    page = client.get("/bench/T-1/duty").text
    assert "likeliest cut for 25.4 mm" in page
    away = {**fields_of(page), "sprockets.listed": "yes"}
    assert keep(client, away).status_code == 303
    assert content_of(client)["wheels"] == []


def test_rows_are_added_moved_and_taken_away_and_nothing_is_kept(tmp_path: Path) -> None:
    client = started(tmp_path)
    three = {**PULL_TYPED, "pull.runs.0.name": "return", "pull.runs.2.name": "carry"}

    def after(order: str) -> list[str]:
        text = client.post("/bench/T-1/duty/try", data={**three, "do": order}).text
        return [unescape(each) for each in re.findall(r'name="pull\.runs\.\d+\.name" value="([^"]*)"', text)]

    assert after("show") == ["return", "", "carry", ""]
    assert after("pull.runs.add") == ["return", "", "carry", "", ""]
    assert after("pull.runs.2.up") == ["return", "carry", "", ""]
    assert after("pull.runs.0.down") == ["", "return", "carry", ""]
    assert after("pull.runs.0.up") == ["return", "", "carry", ""]
    assert after("pull.runs.1.away") == ["return", "carry", ""]
    assert after("pull.runs.99.away") == ["return", "", "carry", ""]
    assert client.get("/api/v1/cases/T-1").json()["version"] == 1


def test_it_is_worked_out_without_being_kept(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN)
    tried = client.post("/bench/T-1/duty/try", data={**PULL_TYPED, "do": "try"})
    assert tried.status_code == 200
    assert "Nothing of it is kept yet" in tried.text
    assert "largest pull, all strands" in tried.text
    assert value_of(tried.text, "pull.speed") == "12 m/min"
    assert "duty" not in content_of(client)
    wrong = client.post("/bench/T-1/duty/try", data={**PULL_TYPED, "pull.speed": "fast", "do": "try"})
    assert wrong.status_code == 422
    assert fault_at(wrong.text, "pull.speed")


def test_two_people_who_do_not_meet_are_merged_and_who_meet_are_told(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN, duty={"pull": case_files.DUTY["pull"]})
    seen = fields_of(client.get("/bench/T-1/duty").text)
    assert keep(client, {**seen, "pull.strands": "1"}).status_code == 303
    assert keep(client, {**seen, "pull.speed": "15 m/min", "client": "another tab"}).status_code == 303
    pull = content_of(client)["duty"]["pull"]
    assert (pull["strands"], pull["speed"]) == (1, "15 m/min")
    assert keep(client, {**seen, "pull.speed": "20 m/min", "client": "a third tab"}).status_code == 303
    assert content_of(client)["duty"]["pull"]["speed"] == "15 m/min"
    page = client.get("/bench/T-1/duty").text
    assert "Somebody else changed this meanwhile" in page
    both = client.get("/bench/T-1/conflicts").text
    assert "Conveyor, speed" in both
    assert "20 m/min" in both


def test_what_has_no_field_here_stays_as_it_is(tmp_path: Path) -> None:
    pull = {**case_files.DUTY["pull"], "runs": [{"length": "18 m", "skirt": {"height": "150 mm", "cs": 0.02}}], "x": 1}
    client = started(tmp_path, chosen=CHOSEN, duty={"pull": pull})
    page = client.get("/bench/T-1/duty").text
    assert "also: skirt" in page
    row = {"pull.runs.listed": "yes", "pull.runs.0.came": "0", "pull.runs.0.length": "20 m"}
    assert keep(client, {**fields_of(page), **row}).status_code == 303
    kept = content_of(client)["duty"]["pull"]
    assert (kept["x"], kept["runs"][0]["skirt"]["cs"], kept["runs"][0]["length"]) == (1, 0.02, "20 m")


def test_what_the_maker_says_goes_with_the_chain_of_the_case(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN)
    assert keep(client, {**PULL_TYPED, "pull.chain.working_load": "9 kN"}).status_code == 303
    assert content_of(client)["duty"]["pull"]["chain"] == {"working_load": "9 kN"}
    page = client.get("/bench/T-1/duty").text
    assert "figures of 16B-1: table iso606_b" in page
    assert "9 kN" in page


def test_a_replacement_is_judged_and_the_part_can_be_emptied(tmp_path: Path) -> None:
    client = started(tmp_path, chosen=CHOSEN, duty={"sprockets": [{"teeth": 17}], "drive": {
        "power": "5 kW", "rpm": "300 rpm", "teeth": 17, "driven": "smooth", "driver": "smooth"}})  # fmt: skip
    page = client.get("/bench/T-1/duty").text
    assert "16B-1, the chain of the case, on this duty" in page
    keep(client, {**fields_of(page), "verdict.candidate": "16A-1"})
    page = client.get("/bench/T-1/duty").text
    assert "16A-1 as a replacement" in page
    assert "<title>Margin of every check: 1 is just enough; bars end at 4</title>" in page
    assert "What it hinges on" in page
    keep(client, {**fields_of(page), "verdict.candidate": ""})
    assert "verdict" not in content_of(client)["duty"]


def test_wear_is_plotted_and_length_is_told(tmp_path: Path) -> None:
    readings = [("2024-03-01", "255 mm"), ("2025-03-01", "256.5 mm"), ("2025-09-01", "257.5 mm")]
    rows = {f"wear.readings.{at}.{key}": text for at, (on, long) in enumerate(readings) for key, text in (
        ("on", on), ("length", long), ("over", "10"), ("instrument", "digital caliper"))}  # fmt: skip
    client = started(tmp_path, chosen=CHOSEN)
    length = {"length.teeth[0]": "17", "length.teeth[1]": "51", "length.centers": "800 mm"}
    assert keep(client, {**rows, **length, "wear.readings.listed": "yes"}).status_code == 303
    page = client.get("/bench/T-1/duty").text
    assert "pitches to order: 98 pitches" in page
    assert "1.38 % longer than new on September 1, 2025" in page
    assert "Elongation, with the interval of one further reading" in page
    kept = content_of(client)["duty"]
    assert (kept["length"]["teeth"], kept["wear"]["readings"][0]["over"]) == ([17, 51], 10)


def test_before_the_chain_is_known_it_says_so(tmp_path: Path) -> None:
    client = started(tmp_path)
    keep(client, {**PULL_TYPED, "pull.chain_mass": ""})
    page = client.get("/bench/T-1/duty").text
    assert "Cannot be answered before the chain is known" in page
    assert "no answer yet" in page


@pytest.mark.parametrize(
    "content",
    [
        {"duty": [], "wheels": True},
        {"duty": {"pull": "fast", "wear": {"readings": {"a": 1}}, "sprockets": [3, None, {"teeth": {}}]}},
        {"duty": {"length": {"teeth": "many", "centers": []}}, "wheels": [{"readings": [{"dimension": ["x"]}]}]},
    ],
)
def test_what_cannot_be_read_does_not_hide_the_page(tmp_path: Path, content: dict[str, Any]) -> None:
    client = started(tmp_path, **content)
    page = client.get("/bench/T-1/duty")
    assert page.status_code == 200
    assert "cannot be read yet" in page.text
    assert client.post("/bench/T-1/duty/try", data={"do": "try"}).status_code in {200, 422}


@pytest.mark.parametrize("sent", [{"was": "{"}, {"was": "[]"}, {"was": "[" * 5000}, {"was": '"x"'}])
def test_a_page_that_was_tampered_with_is_refused_and_changes_nothing(tmp_path: Path, sent: dict[str, str]) -> None:
    client = started(tmp_path)
    assert keep(client, {**sent, "pull.speed": "1 m/s"}).status_code == 422
    odd = {"base": "99999999999999999999", "sprockets.listed": "yes", "sprockets.0.came": "chosen", "do": "x.y.z"}
    assert keep(client, odd).status_code == 303
    assert client.get("/api/v1/cases/T-1").json()["version"] == 1


def test_a_reader_tries_and_keeps_nothing(tmp_path: Path) -> None:
    served = web_app.server(tmp_path, accounts=True)
    served.register.cases.create("T-1", by="test", content={"chosen": CHOSEN})
    reader = web_app.signed_in(served, Role.READER)
    shown = reader.get("/bench/T-1/duty")
    assert shown.status_code == 200
    assert "do-keep" not in shown.text
    assert keep(reader, PULL_TYPED).status_code == 403
    assert "largest pull" in reader.post("/bench/T-1/duty/try", data={**PULL_TYPED, "do": "try"}).text
    hand = web_app.signed_in(served, Role.FIELD)
    assert keep(hand, PULL_TYPED).status_code == 303


def test_a_page_that_nobody_touched_changes_nothing() -> None:
    content = {"duty": {**case_files.DUTY, "wear": {"limit": "2 %", "take_up": {"travel": "0.3 m"}}}, "wheels": []}
    draft = as_it_stands(content, 4)
    wanted = proposal(draft, content, Catalog.standard(), HERE)
    assert (wanted.events, wanted.faults) == ((), ())
    assert all(isinstance(text, str) for text in draft.texts.values())
    back = typed({"was": draft.was_json, "base": "4", **draft.texts, **_sent(draft)}, draft)
    assert (back.texts, back.rows, back.base) == (draft.texts, draft.rows, 4)


def _sent(draft: Draft) -> dict[str, str]:
    sent = {f"{name}.listed": "yes" for name in draft.rows}
    for name, rows in draft.rows.items():
        for at, row in enumerate(rows):
            sent |= {f"{name}.{at}.came": row.came, **{f"{name}.{at}.{key}": text for key, text in row.texts.items()}}
    return sent


def test_every_field_gives_back_what_was_typed() -> None:
    fields = [*(field for part in FORMS for field in part.fields), *PULL.lists[0].fields, *SPROCKETS.lists[0].fields]
    for field in fields:
        text = field.choices[0] if field.choices else "yes" if field.kind.value in {"tick", "yes or no"} else "7"
        assert shown(field, entered(field, text, {})) == text, field.key
        assert entered(field, "", entered(field, text, {})) == {}, field.key


def test_places_of_a_duty_in_words() -> None:
    assert place_in_words("duty.pull.speed") == "conveyor, speed"
    assert place_in_words("duty.wear") == "wear"
    assert place_in_words("duty.sprockets[ab].teeth") == "sprocket of the duty, teeth"


@pytest.fixture(scope="module")
def browser() -> Iterator[web_app.Browser]:
    with web_app.browser() as made:
        yield made


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Server]:
    with web_app.running(tmp_path) as made:
        yield made


def begin(served: Server, **instead: Any) -> None:
    full = case_files.full(**instead).as_json()
    content = {key: value for key, value in full.items() if key not in {"schema", "case"}}
    served.register.cases.create("T-1", by="test", content=content)


def violations(page: Any) -> list[str]:
    # By the debugging protocol, as the policy of the page lets no script in.
    page.evaluate(AXE.read_text())
    found = page.evaluate(f"() => axe.run(document, {{ runOnly: {LEVEL} }})")
    return [f"{each['id']}: {each['nodes'][0]['html'][:160]}" for each in found["violations"]]


@needs_browser
def test_from_an_empty_duty_to_a_verdict(browser: web_app.Browser, served: Server) -> None:
    served.register.cases.create("T-1", by="test", content={"chosen": CHOSEN})
    with web_app.page(browser, served, size=(1440, 900)) as page:
        page.set_default_timeout(60_000)
        cut: list[bool] = []
        page.route("**/duty", lambda route: route.abort() if cut else route.continue_())
        page.goto("/bench/T-1")
        page.click(".duty-link")
        page.wait_for_selector(READY)
        page.fill("[id='sprockets.0.teeth']", "17")
        page.click("#pull-part > summary")
        page.fill("[id='pull.speed']", "12")
        page.fill("[id='pull.chain_mass']", "14 kg/m")
        page.fill("[id='pull.friction']", "0.2")
        page.fill("[id='pull.runs.0.length']", "18 m")
        page.click("[id='pull.runs.add']")
        page.wait_for_selector("[id='pull.runs.1.loss']")
        page.fill("[id='pull.runs.1.loss']", "0.1")
        page.reload()
        page.wait_for_selector(READY)
        assert page.input_value("[id='pull.runs.1.loss']") == "0.1"
        assert page.inner_text("#unkept") == "Not kept yet."
        page.click("#do-keep")
        page.wait_for_selector("#faults")
        page.click("#faults a")
        assert page.evaluate("document.activeElement.id") == "pull.speed"
        assert page.input_value("[id='pull.speed']") == "12"
        page.keyboard.press("Control+a")
        page.keyboard.type("12 m/min")
        cut.append(True)
        page.keyboard.press("Enter")
        page.wait_for_function("() => document.getElementById('unkept').textContent.includes('does not answer')")
        cut.clear()
        page.keyboard.press("Enter")
        page.wait_for_selector(".verdict-word")
        assert page.inner_text("#unkept") == ""
        assert page.evaluate("localStorage.getItem('chaincase:T-1:duty')") is None
        assert page.locator("#pull .chart svg").count() == 2
        page.click("#pull-0-steps summary")
        assert "largest pull" in page.inner_text("#pull-0-steps")
        page.forgive("ERR_FAILED")
        page.forgive("422")
    kept = served.register.cases.open("T-1").content["duty"]
    assert (kept["pull"]["speed"], kept["sprockets"][0]["teeth"], len(kept["pull"]["runs"])) == ("12 m/min", 17, 2)


@needs_browser
@pytest.mark.parametrize(("look", "size"), [("light", (1440, 900)), ("dark", (390, 844))])
def test_the_page_of_a_duty_is_accessible(
    browser: web_app.Browser, served: Server, look: str, size: tuple[int, int]
) -> None:
    years = ((2023, "1613 mm"), (2024, "1614 mm"), (2025, "1615 mm"))
    wear = {"readings": [{"on": f"{year}-03-01", "length": long, "over": 10} for year, long in years]}
    duty = {**case_files.DUTY, "wear": wear, "verdict": {"candidate": "16B-1"}}
    begin(served, duty=duty)
    with web_app.page(browser, served, look=look, size=size) as page:
        page.set_default_timeout(60_000)
        page.goto("/bench/T-1/duty")
        page.wait_for_selector(READY)
        page.evaluate("() => { for (const each of document.querySelectorAll('details')) each.open = true; }")
        assert violations(page) == []
        assert page.evaluate(TOO_WIDE) <= 0
        page.fill("[id='pull.speed']", "fast")
        page.click("#do-keep")
        page.wait_for_selector("#faults")
        assert violations(page) == []
        assert page.evaluate(TOO_WIDE) <= 0
        page.forgive("422")


@needs_browser
def test_a_stamp_box_by_box_and_a_paper_in_another_size(browser: web_app.Browser, served: Server) -> None:
    begin(served)
    with web_app.page(browser, served, size=(1440, 900)) as page:
        page.set_default_timeout(60_000)
        page.goto("/bench/T-1")
        page.wait_for_selector("#bench[data-ready]")
        page.click("#stamp-boxes summary")
        page.wait_for_function("() => document.activeElement.id === 'box-1'")
        page.keyboard.type("wr1")
        page.click("[data-box-lost]")
        page.keyboard.type("4")
        page.check("#box-after")
        assert page.input_value("#e-mark") == "WR1?4*"
        page.fill("#e-mark", "*M112")
        assert [page.input_value(f"#box-{n}") for n in range(1, 6)] == ["M", "1", "1", "2", ""]
        assert page.is_checked("#box-before")
        assert violations(page) == []
        page.press("#box-4", "Enter")
        page.wait_for_function("() => Number(document.getElementById('bench').dataset.version) === 2")
        page.click("#papers-drop summary")
        page.select_option("#paper-size", "a4")
        page.select_option("#paper-level", "make")
        with page.expect_download(timeout=60_000) as waiting:
            page.click("button[data-file='dossier.pdf']")
        assert waiting.value.url.endswith("dossier.pdf?paper=a4&level=make")
        page.reload()
        page.wait_for_selector("#bench[data-ready]")
        assert page.input_value("#paper-size") == "a4"
    assert [each["text"] for each in served.register.cases.open("T-1").content["evidence"]["marks"]] == [
        "M112",
        "*M112",
    ]
