"""The queue: nothing is lost, nothing is done twice, whatever happens on the way."""

from decimal import Decimal

import pytest

from inventory.models import Reason, StockEntry
from inventory.reservations.services import reserve_stock
from shop.models import TimeEntry
from tests.browser.bench.lost import lose_answers

pytestmark = pytest.mark.browser


def drawn(material):
    rows = StockEntry.objects.filter(material=material, reason=Reason.DRAWN)
    return [-entry.quantity for entry in rows]


def draw_wire(phone, stock, metres):
    phone.go(f"#/material/{stock['wire'].pk}")
    phone.write("Quantity, m", metres)
    phone.tap("^Draw$")


def draw_three(phone, stock):
    for metres in ("0.1", "0.2", "0.3"):
        draw_wire(phone, stock, metres)


def test_what_is_done_while_the_server_is_down_is_sent_when_it_is_back(phone, shop, stock):
    shop.stop()
    draw_three(phone, stock)
    phone.settle("3 waiting")
    assert drawn(stock["wire"]) == []
    shop.start()
    phone.settle()
    assert sorted(drawn(stock["wire"])) == [100, 200, 300]


def test_what_was_typed_is_sent_in_the_order_it_was_done(phone, shop, stock):
    phone.cut()
    draw_three(phone, stock)
    phone.reconnect()
    phone.settle()
    told = StockEntry.objects.filter(reason=Reason.DRAWN).order_by("pk")
    assert [-entry.quantity for entry in told] == [100, 200, 300]


def test_a_tab_killed_in_mid_queue_goes_on_where_it_was(phone, shop, stock):
    phone.cut()
    draw_three(phone, stock)
    lost = lose_answers(phone, 1)
    phone.reconnect()
    phone.page.wait_for_timeout(300)
    while not lost:
        phone.page.evaluate("dispatchEvent(new Event('online'))")
        phone.page.wait_for_timeout(50)
    phone.kill()
    phone.open()
    phone.settle()
    assert sorted(drawn(stock["wire"])) == [100, 200, 300]


def test_an_answer_lost_on_the_way_does_not_double_the_draw(phone, shop, stock):
    lost = lose_answers(phone, 2)
    draw_wire(phone, stock, "0.5")
    phone.settle()
    assert (len(lost), drawn(stock["wire"])) == (2, [500])


def test_the_same_queue_sent_twice_counts_once(phone, shop, stock, builds):
    """Two tabs of one phone, and one that forgot that it had sent everything."""
    phone.cut()
    draw_three(phone, stock)
    phone.tap("^Clock$")
    phone.tap("^C mandolin")
    phone.reconnect()
    phone.settle()
    phone.page.evaluate(
        """async () => {
          const { acts, changeAct } = await import("/static/shop/bench/db.js");
          for (const act of await acts()) await changeAct(act.name, (own) => {
            own.state = "waiting";
          });
          const { send } = await import("/static/shop/bench/queue.js");
          await send();
        }"""
    )
    phone.settle()
    assert set(phone.states()) == {"done"}
    assert sorted(drawn(stock["wire"])) == [100, 200, 300]
    assert TimeEntry.objects.count() == 1


def test_two_tabs_send_one_queue_once(phone, shop, stock):
    other = phone.context.new_page()
    other.goto("/bench/")
    other.wait_for_selector("h1")
    phone.cut()
    draw_three(phone, stock)
    phone.reconnect()
    for page in (phone.page, other):
        page.evaluate("dispatchEvent(new Event('online'))")
    phone.settle()
    assert sorted(drawn(stock["wire"])) == [100, 200, 300]


def test_a_clock_an_hour_fast_is_put_right_and_noted(phone, shop, builds):
    phone.shift_clock(3600)
    phone.page.reload()
    phone.settle()
    phone.tap("^C mandolin")
    phone.settle()
    assert phone.sees("0:00.h")
    entry = TimeEntry.objects.get()
    assert abs((entry.started_at - shop.now()).total_seconds()) < 60
    assert (entry.skew_seconds, entry.device_at > entry.started_at) == (-3600, True)
    phone.go("#/more")
    assert phone.sees("1:00.h ahead of the workshop computer")


def test_undo_before_it_was_sent_leaves_nothing(phone, shop, builds):
    phone.cut()
    phone.tap("^C mandolin")
    phone.tap("^Undo$", within="#undo")
    phone.reconnect()
    phone.settle()
    assert TimeEntry.objects.count() == 0


def test_undo_after_it_was_sent_takes_the_start_back(phone, shop, builds):
    phone.tap("^C mandolin")
    phone.settle()
    phone.tap("^Undo$", within="#undo")
    phone.settle()
    entry = TimeEntry.objects.get()
    assert (entry.seconds, entry.reason) == (0, "undone")
    assert phone.sees("No clock running")


def test_switching_is_one_tap_and_can_be_undone(phone, shop, builds):
    phone.tap("^C mandolin")
    phone.settle()
    phone.tap("^A mandolin")
    phone.settle()
    assert TimeEntry.objects.filter(seconds=None).count() == 1
    phone.tap("^Undo$", within="#undo")
    phone.settle()
    running = TimeEntry.objects.get(seconds=None)
    assert running.shares.get().build == builds["C"]


def test_a_wrong_draw_is_undone_in_two_taps(phone, shop, stock, builds):
    draw_wire(phone, stock, "0.5")
    phone.settle()
    phone.tap("Undo: Drew", within="main")
    phone.settle()
    stock["wire"].refresh_from_db()
    assert stock["wire"].on_hand == 10000
    assert phone.sees("undone")


def test_a_promise_refused_meanwhile_is_said_with_choices_and_nothing_is_lost(
    phone, shop, stock, builds
):
    free = stock["spruce"].lots.exclude(promises__outstanding__gt=0).order_by("pk")
    wanted, another = free[0], free[1]
    phone.cut()
    phone.go(f"#/piece/{wanted.number}")
    phone.tap("Reserve for a build")
    phone.tap(f"^{builds['C'].serial}")
    reserve_stock(
        material=stock["spruce"],
        quantity=Decimal(1),
        lot=wanted,
        holder=builds["B"].holder,
        holder_name="B",
        now=shop.now(),
    )
    phone.reconnect()
    phone.settle("1 needs attention")
    phone.tap("1 needs attention")
    assert phone.sees(f"{wanted.number} .*Choose another piece")
    phone.tap(f"^Reserve {another.number} instead$")
    phone.settle()
    assert another.promises.get(outstanding__gt=0).holder == builds["C"].holder
    assert sorted(phone.states()) == ["done", "left"]


def test_a_line_that_is_not_understood_comes_back_to_be_changed(phone, shop, builds):
    phone.go("#/catchup")
    phone.tap("In one line instead")
    phone.write("In one line", "yesterday, binding the ceiling, both")
    phone.tap("Save")
    phone.shift_clock(20)
    phone.settle("1 needs attention")
    phone.tap("Edit")
    phone.write("In one line", "yesterday, 2.5 h, level and buff, C")
    phone.tap("Save")
    phone.shift_clock(40)
    phone.settle()
    assert TimeEntry.objects.get().seconds == 9000


def test_of_two_phones_that_change_one_entry_neither_silently_wins(new_phone, shop, builds):
    from shop.hours.queries.work import Work
    from shop.hours.services.entries import log_hours

    first = new_phone()
    entry = log_hours(
        person=first_user(),
        day=shop.now().date(),
        minutes=60,
        work=[Work(build=builds["C"])],
        now=shop.now(),
    )
    second = new_phone()
    first.page.reload()
    first.settle()
    second.cut()
    for phone, length in ((second, "1:30"), (first, "1:15")):
        phone.go(f"#/entry/{entry.pk}")
        phone.write("Time worked", length)
        phone.tap("Save")
    first.settle()
    second.reconnect()
    second.settle("1 needs attention")
    second.go("#/waiting")
    assert second.sees("It is now: 75 min")
    entry.refresh_from_db()
    assert entry.seconds == 75 * 60
    second.tap("Replace it with mine")
    second.settle()
    entry.refresh_from_db()
    assert (entry.seconds, entry.corrections.count()) == (90 * 60, 2)


def first_user():
    from django.contrib.auth.models import User

    return User.objects.get(username="posy")
