"""Look up: results as you type on the left, the entry on the right, links by number, back and forward."""

from __future__ import annotations

from collections.abc import Iterable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import on
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, Vertical, VerticalScroll
from textual.content import Content
from textual.events import Key
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from journal.ui.base import JournalScreen
from journal.ui.screens.entry_page import page_content
from journal.ui.words import short

if TYPE_CHECKING:
    from journal.pages import Page
    from journal.store.work import UnitOfWork
    from knowledge.lookup.search import Hit
    from knowledge.rulebase import RuleBase

KINDS = "faults, causes, checks, drills, advice that pulls two ways, rulings, words of the trade"


class LookUpScreen(JournalScreen):
    """entry: open on this one."""

    room = "Look up"
    about = "Type words or a question; read the entry; follow its links by number."
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("slash", "search", "search", key_display="/"),
        Binding("b", "go_along(-1)", "entry before"),
        Binding("v", "go_along(1)", "entry after"),
        Binding("t", "me", "this is me"),
        Binding("a", "plan", "put in plan"),
        Binding("w", "open_in('table')", "what if"),
        Binding("y", "open_in('trial')", "try both answers"),
        Binding("p", "print", "print"),
        *(Binding(str(n), f"digit({n})", show=False) for n in range(10)),
    ]
    CSS = """
    #left { width: 30; border-right: solid $panel; }
    #left.-wide { width: 44; }
    #hits { height: 1fr; }
    #entry { width: 1fr; }
    """

    def __init__(self, entry: str | None = None) -> None:
        super().__init__()
        self._entry = entry
        self._hits: list[Hit] = []
        self._trail: list[str] = []
        self._at = -1
        self._page: Page | None = None
        self._digits = ""

    def body(self) -> Iterable[Widget]:
        left = Vertical(
            Input(placeholder="words or a question", id="query", max_length=600),
            OptionList(id="hits", markup=False),
            id="left",
        )
        yield Horizontal(
            left,
            VerticalScroll(Static(f"Search {KINDS}.", id="page", classes="block", markup=False), id="entry"),
        )

    def on_mount(self) -> None:
        self._search = self.latest(self._found, self._listed)
        if self._entry is not None:
            self.open(self._entry)
        else:
            self.query_one(Input).focus()

    def on_resize(self) -> None:
        self.query_one("#left").set_class(self.size.width >= 100, "-wide")
        self.call_after_refresh(self._draw)

    @on(Input.Changed)
    def look(self, event: Input.Changed) -> None:
        """Search as it is typed."""
        self._search.ask(event.value)

    def _found(self, query: str) -> list[Hit]:
        found: list[Hit] = self.journal.tool("lookup").search(query, 20) if query.strip() else []
        return found

    def _listed(self, query: str, hits: list[Hit]) -> None:
        self._hits = hits
        listing = self.query_one("#hits", OptionList)
        listing.clear_options()
        room = max(20, (self.query_one("#left").size.width or 30) - 4)
        for hit in hits:
            said = hit.kind + (": " + ", ".join(hit.matched) if hit.matched else "")
            listing.add_option(
                Option(
                    Content.assemble(
                        (short(hit.title, room), "bold"), "\n", (short(said, room), "$text-muted")
                    )
                )
            )
        if hits:
            listing.highlighted = 0
        elif query.strip():
            listing.add_option(Option("nothing found: try other words", disabled=True))

    def on_key(self, event: Key) -> None:
        """Arrows in the box move through the results."""
        listing = self.query_one("#hits", OptionList)
        if self.query_one(Input).has_focus and event.key in ("down", "up") and self._hits:
            step = 1 if event.key == "down" else -1
            listing.highlighted = ((listing.highlighted or 0) + step) % len(self._hits)

    @on(Input.Submitted)
    def take(self) -> None:
        """Open the selected result."""
        at = self.query_one("#hits", OptionList).highlighted
        if at is not None and at < len(self._hits):
            self.open(self._hits[at].id)

    @on(OptionList.OptionSelected)
    def clicked(self, event: OptionList.OptionSelected) -> None:
        """A click opens it."""
        if event.option_index < len(self._hits):
            self.open(self._hits[event.option_index].id)

    def open(self, id_: str, *, keep: bool = True) -> None:
        """Show an entry and remember the way."""
        if keep:
            self._trail = [*self._trail[: self._at + 1], id_]
            self._at = len(self._trail) - 1

        def fetch() -> tuple[Page, RuleBase]:
            from journal.pages import entry_page

            rules = self.journal.tool("rules")
            return entry_page(rules, id_), rules

        self.beside(fetch, lambda found: self._show(*found), last="entry")

    def _show(self, page: Page, rules: RuleBase) -> None:
        self._page, self._rules = page, rules
        self._draw()
        self.query_one("#entry").scroll_home(animate=False)
        self.query_one("#entry").focus()
        self.refresh_bindings()

    def _draw(self) -> None:
        if self._page is not None:
            room = max(30, self.query_one("#page", Static).content_size.width)
            self.query_one("#page", Static).update(
                page_content(self._page, self._rules, room, dark=self.app.current_theme.dark)
            )

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        kind = self._page.kind if self._page else ""
        if action == "open_in":
            fits = self._page is not None and self._page.can_be_tried
            return fits if parameters == ("trial",) else kind == "drill"
        needs = {"me": "fault", "plan": "drill"}
        if action in needs or action == "print":
            return bool(kind) and needs.get(action, kind) == kind
        if action == "go_along":
            return 0 <= self._at + int(str(parameters[0])) < len(self._trail)
        return super().check_action(action, parameters)

    def action_search(self) -> None:
        """Back to the box."""
        self.query_one(Input).focus()

    def action_digit(self, number: int) -> None:
        """Follow a link; two digits when there are that many links."""
        if self._page is not None:
            self._digits += str(number)
            if int(self._digits) * 10 > len(self._page.links):
                self.action_follow(int(self._digits))
            else:
                self.set_timer(0.7, partial(self._follow_if_still, self._digits))

    def _follow_if_still(self, typed: str) -> None:
        if typed == self._digits:
            self.action_follow(int(typed))

    def action_follow(self, number: int) -> None:
        """Open the entry a link leads to."""
        self._digits = ""
        if self._page is not None and 0 < number <= len(self._page.links):
            self.open(self._page.links[number - 1])

    def action_go_along(self, by: int) -> None:
        """The entry before, or after."""
        if 0 <= self._at + by < len(self._trail):
            self._at += by
            self.open(self._trail[self._at], keep=False)

    def action_me(self) -> None:
        """Add a sighting of this fault today, once."""
        page, player = self._page, self.player
        day = self.journal.desk.today(player)
        if page is None:
            return

        def add(work: UnitOfWork) -> tuple[str, str]:
            from journal.notes import this_is_me
            from journal.prescription import PAIN_CAUTION, PAIN_FAULTS

            new = this_is_me(work, player, page.id, day)
            said = f"noted for {player.name}" if new else f"already noted today for {player.name}"
            more = "h on the first screen shows it; c finds the likely cause."
            return f"{said}: {page.title}", PAIN_CAUTION if page.id in PAIN_FAULTS else more

        self.at_desk(add, lambda said: self.tell(*said))

    def action_plan(self) -> None:
        """Put this drill twice into the plan."""
        page, player, desk = self._page, self.player, self.journal.desk
        if page is None:
            return

        def put(work: UnitOfWork) -> str:
            from journal.ui.screens.plan_jobs import with_drill

            return with_drill(
                work, self.journal.tool("rules"), player, page.id, desk.now(), desk.today(player)
            )

        self.at_desk(put, lambda days: self.tell(f"in the plan: {page.title}", days))

    def action_open_in(self, room: str) -> None:
        """Play with this drill's shot, or try both answers of this dilemma."""
        if self._page is not None:
            self.journal.go(room, self._page.id)

    def action_print(self) -> None:
        """Write a one-page PDF beside the journal."""
        from journal.ui.screens.entry_page import print_page

        page, player = self._page, self.player
        if page is not None:
            folder = self.journal.desk.folder / "sheets"
            self.beside(
                lambda: print_page(page, self._rules, player, folder),
                lambda path: self.tell("printed to a file", str(path)),
            )
