"""A phone in somebody's hand: a small touch screen, its own clock, a network that can be cut."""

import re
import time
from datetime import UTC, datetime

from shop.devices.services import make_pairing_code
from tests.browser.conftest import PATIENCE

SMALL = {"width": 360, "height": 640}
CLOCK = """
const Real = Date;
const now = () => {
  const stands = Number(localStorage.getItem("test-stands") || 0);
  return stands || Real.now() + Number(localStorage.getItem("test-shift") || 0);
};
globalThis.Date = class extends Real {
  constructor(...given) {
    if (given.length) super(...given);
    else super(now());
  }
  static now() { return now(); }
};
"""
QUEUE = """async () => {
  const { acts } = await import("/static/shop/bench/db.js");
  const plain = ({ kind, state, words, problem, answer }) =>
    ({ kind, state, words, problem, answer });
  return (await acts()).map(plain);
}"""


class Phone:
    """One phone. Any error in its console that is not a cut line is kept in `complaints`."""

    def __init__(self, chromium, shop, **options):
        self.shop = shop
        self.complaints = []
        self.context = chromium.new_context(
            viewport=SMALL,
            is_mobile=True,
            has_touch=True,
            base_url=shop.url,
            timezone_id="UTC",
            locale="en-GB",
            **options,
        )
        self.context.add_init_script(CLOCK)
        self.open()

    def open(self, address="/bench/"):
        """Open the page in a new tab."""
        self.page = self.context.new_page()
        self.page.set_default_timeout(PATIENCE)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("console", self._hear)
        self.page.goto(address)
        self.page.wait_for_selector("h1")
        return self

    def _hear(self, said):
        network = "Failed to load resource" in said.text or "ERR_" in said.text
        if said.type == "error" and not network:
            self.complaints.append(said.text)

    def kill(self):
        """The battery dies: the tab is gone without a word."""
        self.page.close()

    def pair(self, user, name="bench phone"):
        self.code = make_pairing_code(user=user, name=name, now=self.shop.now())[1]
        self.page.goto("/bench/#pair=" + self.code)
        self.page.wait_for_selector(".tile")
        self.settle()
        self.page.evaluate("navigator.serviceWorker.ready")
        return self

    def set_clock(self, at):
        """Let the phone's clock stand at `at`, such as `2027-03-16 08:40`."""
        stands = datetime.fromisoformat(at).replace(tzinfo=UTC).timestamp() * 1000
        self._keep("test-stands", stands)

    def shift_clock(self, seconds):
        """Let the phone's clock run, `seconds` ahead of the shop's."""
        self._keep("test-stands", 0)
        self._keep("test-shift", seconds * 1000)

    def _keep(self, name, value):
        self.page.evaluate("([name, value]) => localStorage.setItem(name, value)", [name, value])
        self.page.evaluate("dispatchEvent(new HashChangeEvent('hashchange'))")

    def cut(self):
        self.context.set_offline(True)

    def reconnect(self):
        self.context.set_offline(False)

    def go(self, place):
        self.page.evaluate("place => (location.hash = place)", place)
        self.page.wait_for_timeout(50)

    def arrives(self, place):
        """Wait until the phone has gone to `place` by itself, as it does once something is kept."""
        self.page.wait_for_function("place => location.hash === place", arg=place)

    def tap(self, words, nth=0, within="body"):
        """Tap what is called `words`: a button, link or summary, by what a screen reader says."""
        self.control(words, within).nth(nth).tap()
        self.page.wait_for_timeout(30)

    def control(self, words, within="body"):
        name = re.compile(words if isinstance(words, str) else words.pattern)
        place = self.page.locator(within)
        found = place.get_by_role("button", name=name).or_(place.get_by_role("link", name=name))
        found = found.or_(place.get_by_role("checkbox", name=name))
        return found.or_(place.locator("summary", has_text=name)).filter(visible=True)

    def write(self, label, words):
        self.page.get_by_label(label, exact=True).filter(visible=True).first.fill(words)

    def sees(self, words, timeout=PATIENCE):
        self.page.get_by_text(re.compile(words)).filter(visible=True).first.wait_for(
            timeout=timeout
        )
        return True

    @property
    def signal(self):
        return self.page.locator("#signal").inner_text()

    def queue(self):
        return self.page.evaluate(QUEUE)

    def states(self):
        return [act["state"] for act in self.queue()]

    def settle(self, words="All sent", timeout=60):
        """Wait until the head of the page says so; by default until everything is sent.

        The phone pauses for longer and longer between its tries; here it is hurried along.
        """
        self.page.wait_for_timeout(200)
        ends = time.monotonic() + timeout
        while self.signal != words:
            assert time.monotonic() < ends, f"“{self.signal}”, not “{words}”: {self.queue()}"
            self.page.evaluate("navigator.onLine && dispatchEvent(new Event('online'))")
            self.page.wait_for_timeout(150)

    def close(self):
        self.context.close()
