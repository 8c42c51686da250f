"""What a builder's hands do on the desk: type, paste, press, go to a station."""

from playwright.sync_api import Locator, Page, expect


class Hands:
    """Clicks and keys on one page of the desk."""

    def __init__(self, page: Page, address: str) -> None:
        self.page, self.address = page, address

    def open(self, job: str, screen: str = "") -> None:
        self.page.goto(f"{self.address}/job/{job}" + (f"#{screen}" if screen else ""))
        expect(self.page.locator('.rail a[aria-current="page"]')).to_be_visible()

    def station(self, words: str) -> None:
        self.page.locator(".rail a", has_text=words).click()
        expect(self.page.locator("main h2").first).to_have_text(words)

    def grid(self, title: str) -> Locator:
        return self.page.get_by_role("grid", name=title, exact=True)

    def saved(self, do: object, tell: str = "/edits") -> None:
        """Do something and wait until the server has carried out the edits."""
        with self.page.expect_response(lambda x: tell in x.url and x.request.method == "POST") as found:
            do()
        assert found.value.status in (200, 201), found.value.text()

    def new_cell(self, title: str) -> Locator:
        return self.grid(title).locator("tr.new td").first

    def paste(self, title: str, rows: list[list[object]], cell: Locator | None = None) -> None:
        """Paste rows as copied from a spreadsheet, at a cell or into the last row."""
        text = "\n".join("\t".join(str(one) for one in row) for row in rows)
        (cell or self.new_cell(title)).click()
        self.page.evaluate("text => navigator.clipboard.writeText(text)", text)
        self.saved(lambda: self.page.keyboard.press("Control+V"))

    def row(self, title: str, name: str) -> Locator:
        rows = self.grid(title).locator("tbody tr")
        return rows.filter(has=self.page.locator(f'td[data-column="0"]:text-is("{name}")'))

    def cell(self, title: str, name: str, column: int) -> Locator:
        return self.row(title, name).locator(f'td[data-column="{column}"]')

    def type_into(self, title: str, name: str, column: int, typed: str) -> None:
        self.cell(title, name, column).click()
        self.page.keyboard.type(typed)
        self.saved(lambda: self.page.keyboard.press("Enter"))

    def fill_field(self, label: str, value: str) -> None:
        one = self.page.locator("main").get_by_label(label, exact=True)
        one.fill(value)
        self.saved(lambda: one.press("Tab"))

    def choose(self, label: str, value: str) -> None:
        one = self.page.locator("main").get_by_label(label, exact=True)
        self.saved(lambda: one.select_option(value))
