"""The document beside the form: examples, pasting, dropping, and the address that keeps it."""

import json
from pathlib import Path

import at_the_page as at
import pytest
from at_the_page import Open
from playwright.sync_api import Browser, Page, expect

from tuckmark import packing, published
from tuckmark.pipeline import default_pipeline

DROP = """([name, text]) => {
  const data = new DataTransfer();
  data.items.add(new File([text], name, { type: "application/json" }));
  const target = document.querySelector("h1");
  for (const kind of ["dragover", "drop"]) {
    const how = { dataTransfer: data, bubbles: true, cancelable: true };
    target.dispatchEvent(new DragEvent(kind, how));
  }
}"""


def test_an_example_is_changed_found_wrong_and_mended(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    pin = at.field(page, "/ends/a/eye/pin_diameter")
    expect(pin).to_have_value("90 mm")
    pin.fill("9 m")
    # it points to the eye, whose first field is how it is given
    expect(at.said_beside(page, "/ends/a/eye/form")).to_contain_text(
        "too short to pass round its pin"
    )
    expect(page.get_by_role("status")).to_contain_text("No sheet yet")
    shown = page.locator(".error:not(:empty)")
    expect(shown).to_have_count(1)
    expect(page.locator("#sheet > *")).to_have_count(0)
    pin.fill("90 mm")
    at.expect_plan(page)
    expect(shown).to_have_count(0)


def test_form_and_text_are_one_document(open_page: Open) -> None:
    page = open_page()
    spec = published.examples()["winch-line-uncoated-hmpe"]
    at.write(page, spec)
    at.expect_plan(page)
    page.get_by_label("Working load").fill("12 kN")
    assert at.document(page) == {**spec, "use": {**spec["use"], "working_load": "12 kN"}}
    page.get_by_label("Working load").fill("")
    kept = {key: value for key, value in spec["use"].items() if key != "working_load"}
    assert at.document(page)["use"] == kept


def test_what_the_form_does_not_know_is_kept_or_taken_out(open_page: Open) -> None:
    page = open_page()
    spec = dict(published.examples()["towing-pendant"])
    at.write(page, {**spec, "colour": "blue", "length": {**spec["length"], "tolerance": "50 mm"}})
    expect(page.locator("#problems")).to_contain_text("/colour")
    page.get_by_role("button", name="Take /colour out of the document").click()
    at.expect_plan(page)
    assert "colour" not in at.document(page)
    assert at.document(page)["job"]["references"] == {"drawing": "P-14"}


def test_text_that_is_no_document_is_told_beside_it(open_page: Open) -> None:
    page = open_page(
        expected=("Failed to load resource: the server responded with a status of 400",)
    )
    at.write(page, '{"schema_version": "1.0", "schema_version": "1.0"}')
    expect(page.locator("#text-error")).to_contain_text("schema_version")
    at.write(page, "{")
    expect(page.locator("#text-error")).not_to_have_text("")
    at.write(page, published.examples()["towing-pendant"])
    at.expect_plan(page)
    expect(page.locator("#text-error")).to_have_text("")


@pytest.mark.parametrize(
    "changed",
    [
        pytest.param(('"order": "LW-2207"', '"order": "LW-1", "order": "LW-2207"'), id="twice"),
        pytest.param(
            ('"order": "LW-2207"', '"order": "LW-1", "\\u006frder": "LW-2"'), id="escaped"
        ),
        pytest.param(('"quantity": 4', '"quantity": 1e400'), id="beyond doubles"),
        pytest.param(('"quantity": 4', '"quantity": 4,'), id="no JSON"),
    ],
)
def test_the_form_never_writes_over_a_text_that_it_does_not_show(
    open_page: Open, changed: tuple[str, str]
) -> None:
    page = open_page(
        expected=("Failed to load resource: the server responded with a status of 400",)
    )
    spec = published.examples()["towing-pendant"]
    good = json.dumps(spec)
    wrong = good.replace(*changed)
    assert wrong != good
    at.write(page, {**spec, "colour": "blue"})
    expect(page.get_by_role("button", name="Take /colour out of the document")).to_be_visible()
    at.write(page, wrong)
    expect(page.locator("#text-error")).not_to_have_text("")
    expect(page.locator("#waits")).to_be_visible()
    expect(page.locator("#problems")).to_be_hidden()
    expect(at.field(page, "/rope/size/diameter")).to_be_disabled()
    expect(at.field(page, "/length/finished")).to_be_disabled()
    assert page.get_by_label("Document", exact=True).input_value() == wrong
    at.write(page, good)
    at.expect_plan(page)
    expect(page.locator("#waits")).to_be_hidden()
    page.get_by_label("Working load").fill("12 kN")
    assert at.document(page)["use"]["working_load"] == "12 kN"
    assert at.document(page)["job"] == spec["job"]


def test_keys_alike_in_different_objects_stand_once(open_page: Open) -> None:
    page = open_page()
    spec = published.examples()["towing-pendant"]
    texts = {"a": '{"b": {"b": ":", "x": "\\"b\\": {', "b": '"b": "'}
    at.write(page, {**spec, "job": {**spec["job"], "references": texts}})
    at.expect_plan(page)
    expect(page.locator("#waits")).to_be_hidden()
    assert at.document(page)["job"]["references"] == texts


def test_a_form_that_waits_can_be_emptied(open_page: Open) -> None:
    page = open_page(
        expected=("Failed to load resource: the server responded with a status of 400",)
    )
    at.write(page, '{"schema_version": "1.0", "schema_version": "1.0"}')
    expect(page.locator("#waits")).to_be_visible()
    page.get_by_role("button", name="Empty the form").click()
    expect(page.locator("#waits")).to_be_hidden()
    expect(at.field(page, "/rope/size/diameter")).to_be_enabled()
    assert at.document(page) == {"schema_version": "1.0", "rope": {"size": {}}, "ends": {"a": {}}}


def test_a_file_is_dropped_or_chosen(open_page: Open, tmp_path: Path) -> None:
    page = open_page()
    examples = published.examples()
    page.evaluate(DROP, ["dropped.json", json.dumps(examples["main-halyard-polyester"])])
    at.expect_plan(page)
    assert at.document(page) == examples["main-halyard-polyester"]
    file = tmp_path / "chosen.json"
    file.write_text(json.dumps(examples["towing-pendant"]), encoding="utf-8")
    page.get_by_label("Spec file").set_input_files(file)
    expect(at.field(page, "/job/order")).to_have_value("LW-2207")
    at.expect_plan(page)


def test_units_are_changed_and_the_sheet_follows(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.get_by_label("Units").select_option("inch")
    # 22,604.4 mm = 889.94 in = 74 ft 1 15/16 in
    expect(page.get_by_role("status")).to_contain_text("74 ft 1 15/16 in")
    expect(page.locator("#sheet .cut .large")).to_contain_text("74 ft 1")


@pytest.mark.parametrize("finished", [True, False])
def test_a_reload_keeps_the_work(open_page: Open, finished: bool) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    if not finished:
        page.get_by_label("Diameter", exact=True).fill("24")
        expect(at.said_beside(page, "/rope/size/diameter")).not_to_have_text("")
    page.wait_for_function("location.hash.length > 8")
    page.wait_for_load_state("networkidle")
    before = at.document(page)
    page.reload()
    expect(at.field(page, "/rope/size/diameter")).to_have_value("24 mm" if finished else "24")
    assert at.document(page) == before


def test_what_the_service_packs_the_page_reads_and_the_other_way(open_page: Open) -> None:
    page = open_page()
    for spec in published.examples().values():
        plan = default_pipeline().plan(spec)
        piece = plan["links"]["self"].rpartition("/")[2]
        assert json.loads(of_address(page, "unpack", piece)) == spec
        text = json.dumps(spec, ensure_ascii=False)
        assert packing.unpack(of_address(page, "pack", text)) == spec
    assert of_address(page, "unpack", "1" + "A" * 40) is None
    assert of_address(page, "unpack", "9AAAA") is None


def of_address(page: Page, name: str, text: str) -> str:
    found: str = page.evaluate(
        """async ([name, text]) => {
          const address = await import("/assets/address.js");
          const { packing } = JSON.parse(document.getElementById("data").textContent);
          return address[name](text, packing);
        }""",
        [name, text],
    )
    return found


def test_a_family_page_opens_in_the_form(open_page: Open) -> None:
    page = open_page("/v1/families/tucked_eye")
    page.get_by_role("link", name="Open it in the form").click()
    at.expect_plan(page)
    expect(page.get_by_label("Splice at end a")).to_have_value("tucked_eye")


def test_the_form_is_emptied(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.get_by_role("button", name="Empty the form").click()
    expect(page.locator("#sheet > *")).to_have_count(0)
    assert at.document(page) == {"schema_version": "1.0", "rope": {"size": {}}, "ends": {"a": {}}}
    expect(page.locator(".error:not(:empty)")).to_have_count(0)


def test_a_late_answer_is_never_shown_beside_newer_entries(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    # the first answer is held back until the second has been asked for
    page.route(
        "**/v1/plans?view=sheet**", lambda route: (page.wait_for_timeout(800), route.continue_())
    )
    page.get_by_label("Finished length").fill("19 m")
    page.wait_for_timeout(500)
    assert page.evaluate("'stale' in document.body.dataset")
    page.get_by_label("Finished length").fill("20 m")
    # the golden cut length and 2 m more of body
    expect(page.get_by_role("status")).to_have_text("The plan is made. Cut length 24.604 m.")
    expect(page.locator("#sheet .cut .large")).to_have_text("24.604\u00a0m")


def test_the_page_says_when_the_service_is_away(open_page: Open) -> None:
    page = open_page()
    at.use_example(page, "towing-pendant")
    at.expect_plan(page)
    page.evaluate("void (globalThis.fetch = () => Promise.reject(new TypeError('away')))")
    page.get_by_label("Finished length").fill("19 m")
    expect(page.get_by_role("status")).to_contain_text("cannot be reached")
    expect(page.locator("#sheet > *")).to_have_count(0)


def test_a_service_with_keys_asks_for_one(browser: Browser, keyed: tuple[str, str]) -> None:
    origin, key = keyed
    page = browser.new_page()
    page.goto(origin)
    at.use_example(page, "towing-pendant")
    expect(page.get_by_role("status")).to_contain_text("holders of a key only")
    page.get_by_label("Key").fill(key)
    at.expect_plan(page)
    page.close()
