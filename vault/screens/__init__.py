"""The window: screens that ask, show and pass on what was chosen; none works a figure out.

A screen follows one pattern:

    class LotsScreen(Screen):                  # screen.py: the signals and what the window calls
        def __init__(
            self,
            questions: LotsQuestions,          # what it may ask: a frozen record of query functions
            background: Background,            # asks them off the window's thread
            style: HouseStyle,                 # .look (colours), .numbers (how figures are written)
        ) -> None: ...

        def refresh(self) -> None: ...         # self.book changed, or something in it: ask again
        def set_filter(self, text: str) -> None: ...  # what is typed in the scan field
        def choose(self, name: str) -> None: ...      # the thing the window wants shown

`questions` holds plain functions that take the book first (`lots(book) -> tuple[LotRow, …]`); the
program hands in those of `vault.application.queries`, a test hands in its own. An answer comes
through an `Asker`, of which only the last question is answered:

    self._asker = background.asker(self)
    self._asker.ask(partial(self._questions.lots, self._book), self._on_lots_answered)

Painting widgets read `style.look` when they paint, so another look needs no code beyond the
repaint that the window brings about; a chart that keeps pens connects to `style.changed`.
Overrides of Qt carry `@override` (typing_extensions), stand last and alone are camelCase.
Everything is built in constructors from explicit arguments; `vault/start` does the wiring.
"""
