"""A delivery at the dock, in a real browser: scanned, weighed, booked, and never lost."""

import pytest
from playwright.sync_api import expect

from inventory.models import Delivery, Lot
from tests.brewhouse import micro, person
from tests.browser.dock import GTIN, SSCC, Hands, at_the_dock, box
from tests.browser.test_accessibility import look_at
from tests.browser.test_surroundings import REACHABLE, STOPS_IN_A_DATE, reached_in_turn
from tests.inventory.dock import Dock
from tests.inventory.papers import JPEG, PDF

pytestmark = pytest.mark.browser

TABLETS = ({"width": 1024, "height": 768}, {"width": 768, "height": 1024})
MOST_INPUTS_A_BOX = 2


@pytest.fixture
def at_dock(house, sign_in, go):
    """A clerk at the page of a delivery that lacks nothing but its lines."""
    draft = at_the_dock(house)
    sign_in("receiving")
    page = go(f"/receiving/{draft.pk}/")
    return draft, Hands(page)


def weights(draft):
    return list(draft.lines.order_by("position").values_list("quantity_micro", flat=True))


@pytest.mark.parametrize("viewport", TABLETS, ids=lambda size: f"{size['width']}x{size['height']}")
def test_a_pallet_of_four_hop_boxes_takes_two_inputs_a_box_at_most_and_no_mouse(at_dock, page, viewport):
    page.set_viewport_size(viewport)
    draft, hands = at_dock
    hands.scan(f"]C100{SSCC}")
    for number, (label, weighed) in enumerate(((500, "5.02"), (510, "5.1 kg"), (505, "5,05 kg"), (490, "4.9 kg")), 1):
        before = hands.inputs
        hands.scan(box(label))
        hands.enter(weighed)
        if number == 1:
            hands.enter("COLD")
        assert hands.inputs - before <= MOST_INPUTS_A_BOX
        expect(page.locator("#scan-text")).to_be_focused()
    assert hands.inputs <= 4 * MOST_INPUTS_A_BOX
    hands.see_lines(4)
    assert page.evaluate("document.documentElement.scrollWidth") <= viewport["width"]
    lines = draft.lines.select_related("location")
    assert [(line.location.code, line.sscc, line.supplier_lot) for line in lines] == [("COLD", SSCC, "SZ-25")] * 4
    assert weights(draft) == [micro(f"{kg} kg") for kg in ("5.02", "5.1", "5.05", "4.9")]
    expect(page.get_by_text("Nothing stands in the way: 4 lines will be received.")).to_be_visible()
    hands.tab_to("#book")
    page.keyboard.press("Enter")
    expect(page.get_by_text("receiving booked it on")).to_be_visible()
    assert Lot.objects.filter(supplier_lot="SZ-25").count() == 4


def test_boxes_that_agree_with_their_labels_need_no_input_but_the_first_place(at_dock):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.enter("COLD")
    for label in (510, 505, 490):
        hands.scan(box(label))
    hands.see_lines(4)
    assert hands.inputs == 1
    assert weights(draft) == [micro(f"{kg} kg") for kg in ("5", "5.1", "5.05", "4.9")]


def test_scans_without_a_connection_wait_and_are_sent_once_in_order(at_dock, context, page):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.see_lines(1)
    context.set_offline(True)
    hands.scan(box(510))
    hands.enter("5.2 kg")
    hands.scan(box(520))
    expect(page.get_by_text("There is no connection. 3 entries wait here")).to_be_visible()
    assert draft.lines.count() == 1
    context.set_offline(False)
    hands.see_lines(3)
    assert weights(draft) == [micro("5 kg"), micro("5.2 kg"), micro("5.2 kg")]
    expect(page.locator("#waiting")).to_be_hidden()


def test_an_answer_that_was_lost_on_its_way_doubles_nothing(at_dock, page, complaints):
    draft, hands = at_dock
    lost = []

    def lose_the_first_answer(route):
        answer = route.fetch()
        if lost:
            route.fulfill(response=answer)
        else:
            lost.append(answer.status)
            route.abort()

    page.route("**/scans/", lose_the_first_answer)
    hands.scan(box(500))
    expect(page.get_by_text("The service cannot be reached. 1 entry waits here")).to_be_visible()
    assert draft.lines.count() == 1
    hands.scan(box(510))
    hands.see_lines(2)
    assert weights(draft) == [micro("5 kg"), micro("5.1 kg")]
    complaints.clear()


def test_a_tab_that_was_closed_resumes_exactly_where_it_was(at_dock, context, page, live_server):
    draft, hands = at_dock
    hands.scan(f"]C100{SSCC}")
    hands.scan(box(500))
    hands.see_lines(1)
    context.set_offline(True)
    hands.scan(box(510))
    expect(page.get_by_text("1 entry waits here")).to_be_visible()
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(f"{live_server.url}/receiving/{draft.pk}/")
    hands = Hands(again)
    hands.see_lines(2)
    expect(again.locator("#scan-text")).to_be_focused()
    hands.scan("5.2 kg")
    expect(again.locator("#piece-in-hand")).to_contain_text("Line 2: Saaz, 5.2 kg")
    assert [line.sscc for line in draft.lines.all()] == [SSCC, SSCC]


def test_scans_of_somebody_who_is_signed_out_wait_for_the_sign_in(at_dock, context, page, sign_in):
    draft, hands = at_dock
    context.clear_cookies(name="sessionid")
    hands.scan(box(500))
    expect(page.get_by_text("You are signed out: load this page again and sign in. 1 entry waits here")).to_be_visible()
    sign_in("receiving")
    page.reload()
    hands.see_lines(1)
    assert weights(draft) == [micro("5 kg")]


def test_what_waits_of_one_person_is_not_sent_in_the_name_of_another(at_dock, context, page, house, sign_in):
    draft, hands = at_dock
    context.set_offline(True)
    hands.scan(box(500))
    expect(page.get_by_text("1 entry waits here")).to_be_visible()
    context.set_offline(False)
    hands.see_lines(1)
    context.set_offline(True)
    hands.scan(box(510))
    expect(page.get_by_text("1 entry waits here")).to_be_visible()
    address = page.url
    page.close()
    context.set_offline(False)
    house.people["second"] = person("second", "receiving")
    for who, lines in (("second", 1), ("receiving", 2)):
        sign_in(who)
        again = context.new_page()
        again.goto(address)
        Hands(again).see_lines(lines)
        assert draft.lines.count() == lines
        again.close()


def test_a_line_without_a_barcode_is_added_by_its_material_and_asks_for_its_weight(at_dock, page):
    draft, hands = at_dock
    hands.tab_to("#add-material")
    hands.enter("CASCADE")
    hands.see_lines(1)
    line = draft.lines.get()
    expect(page.locator(f"#line-{line.pk}-quantity")).to_be_focused()
    hands.enter("20 kg")
    hands.see_lines(1)
    assert weights(draft) == [micro("20 kg")]
    expect(page.locator("#scan-text")).to_be_focused()


def test_a_refused_scan_stays_until_somebody_has_seen_it(at_dock, page, watch):
    watch.expect(400)
    draft, hands = at_dock
    hands.scan(f"]C101{GTIN[:-1]}4")
    hands.scan(box(500))
    hands.see_lines(1)
    refused = page.get_by_role("list", name="What was refused")
    expect(refused).to_contain_text("its check digit would be 3")
    page.reload()
    expect(refused).to_contain_text("its check digit would be 3")
    hands.tab_to("#refused button")
    page.keyboard.press("Enter")
    expect(refused).to_be_hidden()
    expect(page.locator("#scan-text")).to_be_focused()
    assert draft.lines.count() == 1


def test_every_change_is_saved_at_once_and_what_is_being_typed_stays(at_dock, page):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.see_lines(1)
    line = draft.lines.get()
    hands.tab_to(f"#line-{line.pk}-quantity")
    page.keyboard.type("5.5")
    page.keyboard.press("Tab")
    page.keyboard.type("CO")
    expect(page.get_by_text("5.5 kg were weighed where the note says 5 kg").first).to_be_visible()
    page.keyboard.type("LD")
    page.keyboard.press("Enter")
    hands.see_lines(1)
    expect(page.locator("#scan-text")).to_be_focused()
    line.refresh_from_db()
    assert (line.quantity_micro, line.location.code) == (micro("5.5 kg"), "COLD")
    hands.tab_to(f"#line-{line.pk}-difference_reason")
    hands.enter("a bag had burst")
    expect(page.get_by_text("Nothing stands in the way")).to_be_visible()
    hands.tab_to("#head-carrier")
    hands.enter("Ferry Haulage")
    hands.see_lines(1)
    assert Delivery.objects.get(pk=draft.pk).carrier == "Ferry Haulage"


def test_a_barcode_that_lands_in_another_field_is_taken_as_a_scan(at_dock, page):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.see_lines(1)
    line = draft.lines.get()
    hands.tab_to(f"#line-{line.pk}-quantity")
    hands.scan(box(510))
    hands.see_lines(2)
    hands.tab_to(f"#line-{line.pk}-quantity")
    hands.scan(f"01{GTIN}3102000520")
    hands.see_lines(3)
    line.refresh_from_db()
    assert line.quantity_micro == micro("5 kg")
    expect(page.locator("#scan-text")).to_be_focused()
    hands.tab_to(f"#line-{line.pk}-supplier_lot")
    hands.enter("202501310000123")
    hands.see_lines(3)
    line.refresh_from_db()
    assert line.supplier_lot == "202501310000123"


def test_the_separator_arrives_as_the_key_that_scanners_press_for_it(at_dock, page):
    draft, hands = at_dock
    page.keyboard.type(f"01{GTIN}10SZ-25")
    page.keyboard.press("Control+]")
    hands.scan("3102000500")
    hands.see_lines(1)
    assert draft.lines.get().supplier_lot == "SZ-25"


def test_two_clerks_at_one_draft_see_each_other_and_overwrite_nothing(at_dock, page, house, watch):
    watch.expect(412)
    draft, hands = at_dock
    hands.scan(box(500))
    hands.see_lines(1)
    line = draft.lines.get()
    Dock(house, "quality").change(line, quantity_micro=micro("6 kg"), difference_reason="two bags more")
    hands.tab_to(f"#line-{line.pk}-quantity")
    hands.enter("4")
    expect(page.get_by_role("list", name="What was refused")).to_contain_text("line 1: weight is now 6")
    expect(page.locator(f"#line-{line.pk}-quantity")).to_have_value("6 kg")
    line.refresh_from_db()
    assert line.quantity_micro == micro("6 kg")


def test_a_draft_that_somebody_booked_meanwhile_is_shown_booked_and_the_scan_is_told(at_dock, page, house, watch):
    watch.expect(409)
    draft, hands = at_dock
    hands.scan(box(500))
    hands.scan("COLD")
    hands.see_lines(1)
    Dock(house, "quality").book(draft)
    hands.scan(box(510))
    expect(page.get_by_text("quality booked it on")).to_be_visible()
    refused = page.get_by_role("list", name="What was refused")
    expect(refused).to_contain_text(f"{box(510)}: quality booked delivery note LS-1 on")
    assert draft.lines.count() == 1


def test_what_waited_for_a_connection_until_the_delivery_was_finished_is_shown(at_dock, page, context, house):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.scan("COLD")
    hands.see_lines(1)
    context.set_offline(True)
    hands.scan(box(510))
    expect(page.get_by_text("1 entry waits here")).to_be_visible()
    Dock(house, "quality").book(draft)
    address = page.url
    page.close()
    context.set_offline(False)
    again = context.new_page()
    again.goto(address)
    refused = again.get_by_role("list", name="What was refused")
    expect(refused).to_contain_text(f"{box(510)}: This was not sent before the delivery was finished.")
    refused.get_by_role("button", name="Seen").press("Enter")
    expect(refused).to_be_hidden()
    assert draft.lines.count() == 1


def test_no_page_of_receiving_breaks_a_rule_of_accessibility_or_is_wider_than_a_telephone(at_dock, page, go, house):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.scan("5.5")
    hands.see_lines(1)
    booked = Dock(house).open("MALTINGS", note_number="LS-2")
    Dock(house).add(booked, "PILS", "5 kg", supplier_lot="PM-1")
    Dock(house).book(booked)
    addresses = ["/receiving/", "/receiving/new/", f"/receiving/{draft.pk}/", f"/receiving/{booked.pk}/"]
    assert look_at(page, go, addresses) == {}
    page.set_viewport_size({"width": 360, "height": 740})
    for address in addresses:
        go(address)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, address


def test_the_keyboard_reaches_all_of_a_draft_in_the_order_of_the_page(at_dock, page, go):
    draft, hands = at_dock
    hands.scan(box(500))
    hands.see_lines(1)
    go(f"/receiving/{draft.pk}/")
    page.evaluate("document.activeElement.blur()")
    count = page.evaluate(REACHABLE)
    reached = reached_in_turn(page, count + 3 * STOPS_IN_A_DATE)
    assert reached == list(range(reached[0], count))
    assert reached[0] < page.evaluate("window.reachable.indexOf(document.getElementById('book'))")


def test_a_file_is_read_in_on_the_page_and_a_wrong_one_is_told(at_dock, page, watch):
    watch.expect(400)
    draft, hands = at_dock
    page.get_by_text("Read the lines of a CSV file").click()
    for content, lines in ((b"material,quantity,unit\nNOHOP,5,kg\n", 0), (b"material,quantity,unit\nSAAZ,5,kg\n", 1)):
        if not page.locator("#file-columns[open]").count():
            page.get_by_text("Read the lines of a CSV file").click()
        page.get_by_label("CSV file").set_input_files({"name": "l.csv", "mimeType": "text/csv", "buffer": content})
        page.get_by_role("button", name="Read it in").click()
        hands.see_lines(lines)
        assert draft.lines.count() == lines
        if not lines:
            expect(page.get_by_text("There is no material of this code.")).to_be_visible()


def test_a_photo_is_added_and_waits_for_the_scans_before_it(at_dock, page):
    draft, hands = at_dock
    hands.scan(box(500))
    page.get_by_label("Files to add").set_input_files(
        [
            {"name": "pallet.jpg", "mimeType": "image/jpeg", "buffer": JPEG},
            {"name": "n.pdf", "mimeType": "x", "buffer": PDF},
        ]
    )
    page.get_by_role("button", name="Add them").click()
    expect(page.get_by_role("link", name="pallet.jpg")).to_be_visible()
    hands.see_lines(1)
    assert draft.attachments.count() == 2


def test_a_delivery_begins_and_ends_by_keyboard_alone(house, opened):
    at_the_dock(house)
    page = opened("receiving", "/receiving/")
    hands = Hands(page)
    hands.tab_to("a[href='/receiving/new/']")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("New delivery")
    hands.tab_to("#id_supplier")
    page.keyboard.type("HOPYARD")
    hands.tab_to("#id_note_number")
    page.keyboard.type("LS-77")
    hands.tab_to("#id_condition")
    page.keyboard.type("so")
    page.keyboard.press("Enter")
    hands.tab_to("button:not(.band *, .secondary)")
    page.keyboard.press("Enter")
    expect(page.locator("#scan-text")).to_be_focused()
    hands.scan(box(500))
    hands.scan("COLD")
    hands.see_lines(1)
    hands.tab_to("#book")
    page.keyboard.press("Enter")
    expect(page.get_by_text("receiving booked it on")).to_be_visible()
    assert Delivery.objects.get(note_number="LS-77").state == "booked"
