"""What to buy by the queue: sums by supplier and month, and how far ahead."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from django.urls import reverse
from django.utils import timezone

from inventory.models import Supplier
from shop.models import StageWindow
from shop.queue.queries.buying import DueOrder, sums_of, to_order
from shop.queue.queries.forecast import queue_on
from tests.factories import make_material
from tests.shop.factories import planned_line
from tests.shop.queue.factories import make_pattern, queue_build

pytestmark = pytest.mark.django_db
ON = date(2027, 3, 9)


def order(material, order_by, cost):
    amount = None if cost is None else Decimal(cost)
    return DueOrder(
        line=None,
        material=material,
        needed_by=order_by,
        order_by=order_by,
        late=order_by < ON,
        cost=amount,
    )


def test_orders_add_up_by_supplier_and_month_and_late_ones_count_in_this_month():
    bramble, fennel = (Supplier.objects.create(name=name) for name in ("Bramble", "Fennel"))
    wood = make_material("Spruce", supplier=bramble)
    wire = make_material("Wire", supplier=fennel)
    label = make_material("Label")
    sums = sums_of(
        [
            order(wire, date(2027, 1, 5), "10"),
            order(wood, date(2027, 3, 20), "96.50"),
            order(wood, date(2027, 5, 1), "3.50"),
            order(label, date(2027, 5, 2), None),
        ],
        ON,
    )
    assert sums.months == [date(2027, 3, 1), date(2027, 5, 1)]
    assert [(f"{row.supplier}", row.months, row.unpriced) for row in sums.rows] == [
        ("Bramble", [Decimal("96.50"), Decimal("3.50")], 0),
        ("Fennel", [10, 0], 0),
        ("None", [0, 0], 1),
    ]
    assert sums.whole.months == [Decimal("106.50"), Decimal("3.50")]
    assert sums.whole.total == sum(row.total for row in sums.rows)


def test_what_is_lacking_is_ordered_before_its_stage_and_priced(workshop, desk):
    material = make_material(
        "Tuners", kept_as="count", unit="ea", replacement_price=Decimal(60), lead_time_days=20
    )
    today = timezone.localdate()
    queue_build(make_pattern(), "One", lines=[planned_line(material, "2")])
    (one,) = to_order(queue_on(today))
    assert one.needed_by - one.order_by == timedelta(days=26)  # 20 × 1.32
    assert one.cost == 120
    page = desk.get(reverse("queue_buying"), {"months": "12"}).content.decode()
    assert "By supplier and month" in page
    assert "120.00" in page
    sums = desk.get("/api/v1/queue/to-buy/").json()
    assert sums[0]["cost"] == "120.000"


def test_only_orders_within_the_months_asked_for_are_shown(workshop, desk):
    pattern = make_pattern()
    for number in range(4):
        queue_build(pattern, f"Ahead {number}", 50 - number)
    queue_build(
        pattern,
        "Last",
        0,
        lines=[planned_line(make_material("Label", kept_as="count", unit="ea"), "1")],
    )
    address = reverse("queue_buying")
    assert "Label" in desk.get(address).content.decode()
    assert "Label" not in desk.get(address, {"months": "1"}).content.decode()


def test_most_days_are_given_at_a_form_and_not_below_the_waiting(workshop, desk):
    stage = make_pattern().stages.get(name="Finish")
    address = reverse("window_new")
    refused = desk.post(address, {"stage": stage.pk, "most_days": 3})
    assert refused.status_code == 422
    assert "Finish waits 14 days. Give at least as many." in refused.content.decode()
    assert desk.post(address, {"stage": stage.pk, "most_days": 16}).status_code == 302
    window = StageWindow.objects.get()
    assert "within 16 days" in desk.get(reverse("queue_settings")).content.decode()
    desk.post(reverse("window_remove", args=[window.pk]))
    assert not StageWindow.objects.exists()
