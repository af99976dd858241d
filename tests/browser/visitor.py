"""A person at a browser, who looks at every page that opens."""

from axe_playwright_python.sync_playwright import Axe

from tests.sites import PASSWORD

# The page's script, run in the page: the policy says nothing against reading.
_WIDTHS = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"


class Visitor:
    """One tab. Collects what the console and the network complain of."""

    def __init__(self, page, address):
        self.page = page
        self.address = address
        self.complaints = []
        page.on("console", self._hear)
        page.on("pageerror", lambda error: self.complaints.append(str(error)))
        page.on("response", self._receive)

    def _hear(self, message):
        # Chromium also logs each 4xx as a failed load; _receive tells those apart.
        if message.type in {"error", "warning"} and "status of 4" not in message.text:
            self.complaints.append(f"{message.type}: {message.text}")

    def _receive(self, response):
        asked = response.request
        # A form goes by the phone's script first; what it gets wrong comes as a page.
        is_page = asked.is_navigation_request() or "dock-phone" in asked.headers
        if response.status >= 500 or (response.status >= 400 and not is_page):
            self.complaints.append(f"{response.status} {response.url}")

    def open(self, path):
        """Go to a path, look at the page, and return its HTTP status."""
        answer = self.page.goto(f"{self.address}{path}")
        self.look()
        return answer.status

    def look(self):
        """Hold the page that is open to what every page must hold."""
        self.page.wait_for_load_state("load")
        where = self.page.url
        wide, room = self.page.evaluate(_WIDTHS)
        assert wide <= room, f"{where} scrolls sideways: {wide} in {room}"
        scan = Axe().run(self.page)
        assert scan.violations_count == 0, f"{where}\n{scan.generate_report()}"
        assert self.complaints == [], where

    def press(self, words):
        """Press the button with these words, and look at what opens."""
        with self.page.expect_navigation():
            self.page.get_by_role("button", name=words, exact=True).click()
        self.look()

    def follow(self, words):
        """Follow the link with these words, and look at what opens."""
        with self.page.expect_navigation():
            self.page.get_by_role("link", name=words, exact=True).click()
        self.look()

    def open_menu(self):
        """Unfold the masthead where it is folded away, as on a phone."""
        menu = self.page.get_by_text("Menu", exact=True)
        if menu.is_visible():
            menu.click()

    def sign_in(self, username, then="/"):
        """Sign in by the page, as anybody does, and look at where it leads."""
        self.open(f"/accounts/login/?next={then}")
        self.page.get_by_label("Username").fill(username)
        self.page.get_by_label("Password").fill(PASSWORD)
        self.press("Sign in")
