"""Every command of the window with its keys, in one table."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QAction, QKeySequence
from PySide6.QtWidgets import QWidget


@dataclass(frozen=True, slots=True)
class Command:
    """One command: the name by which the code knows it, its words, its keys."""

    name: str
    words: str
    keys: str
    tip: str = ""


COMMANDS = (
    Command("open", "Open a book …", "Ctrl+O", "Open a shop's book from its file"),
    Command("new", "New book …", "Ctrl+N", "Make a new, empty book"),
    Command("start", "Start page", "Ctrl+W", "Close the book and go to the start page"),
    Command("demonstration", "Demonstration shop", "", "Look around in an invented shop"),
    Command("import", "Read a daybook in …", "Ctrl+I", "Read a daybook file into the open book"),
    Command("receive", "Receive a lot", "Ctrl+R", "Take in what a customer brought"),
    Command("write_out", "Write out …", "Ctrl+E", "Write figures or the daybook to a file"),
    Command("back_up", "Make a backup …", "Ctrl+B", "Make a proven copy of the open book"),
    Command("check", "Check the book", "Ctrl+K", "Prove that the book is whole and unaltered"),
    Command("work_out", "Work the figures out again", "F5", "Work all figures out from the facts"),
    Command("work", "Record work", "Ctrl+Shift+W", "Record what was done to items"),
    Command("terms", "Terms of refineries", "Ctrl+Shift+T", "What refineries pay and take"),
    Command("find", "Scan or search", "Ctrl+F", "Go to the scan field"),
    Command("take_weight", "Take the weight", "F8", "Take what the scale shows; for a pedal"),
    Command("trace", "Trace it", "Ctrl+T", "Trace the chosen item"),
    Command("weigh", "Weigh it …", "Ctrl+G", "Weigh the chosen item again"),
    Command("assay", "Record an assay", "F3", "Record an assay of the chosen item, or of several"),
    Command("move", "Move it …", "F4", "Move the chosen item, several, or a container"),
    Command("divide", "Divide it …", "F6", "Cut, drill or riffle the chosen item"),
    Command("ship", "Make up a shipment …", "Ctrl+Shift+S", "Send containers and items out"),
    Command(
        "shipments", "Shipments", "Ctrl+Shift+V", "What is out, for how long, what was settled"
    ),
    Command("settle", "Settle a shipment …", "Ctrl+Shift+L", "What the refinery found and paid"),
    Command("leave", "Return or sell …", "F7", "Return the chosen item, or sell it"),
    Command("photograph", "Attach a photo …", "F9", "Attach a photo to the chosen item"),
    Command("seal", "Seal …", "Ctrl+L", "A seal on the chosen item or container"),
    Command("worth", "Worth sending out?", "Ctrl+Shift+O", "What sending the chosen items brings"),
    Command("prices", "Set prices …", "Ctrl+Shift+P", "What a gram of each metal is worth today"),
    Command("strike", "Strike it …", "Ctrl+Shift+Z", "Strike the chosen entry, with a reason"),
    Command("strike_last", "Strike the last entry …", "Ctrl+Z", "Strike what you recorded last"),
    Command("print_tag", "Print tag", "Ctrl+P", "Print the tag of the chosen item once more"),
    Command("back", "Back", "Alt+Left", "Back to where you came from"),
    Command("menu", "Menu", "F10", "Open the menu"),
    Command("scales", "Scales …", "", "Set up the scale on the bench"),
    Command("check_scale", "Check the scale …", "", "See with a test weight whether it is right"),
    Command("simulated_scale", "Simulated scale …", "", "Try weighing without a scale"),
    Command("settings", "Settings …", "Ctrl+,", "Units, numbers, light or dark"),
    Command("guide", "Show me round", "", "Five steps through the window, to be left at any time"),
    Command("keys", "Keys …", "F1", "Every key of the program"),
    Command("cautions", "Cautions …", "", "What can hurt you at this work"),
    Command("about", "About …", "", "Version and licences"),
    Command("quit", "Quit", "Ctrl+Q", "Close the program"),
)

# The menu, in groups from the top.
MENU = (
    ("new", "open", "import", "demonstration", "start"),
    ("receive", "work"),
    ("ship", "shipments", "settle", "terms"),
    ("write_out", "back_up", "check"),
    ("weigh", "assay", "move", "divide", "leave", "photograph", "seal", "strike_last"),
    ("worth", "prices"),
    ("work_out", "trace", "print_tag"),
    ("scales", "check_scale", "simulated_scale"),
    ("settings", "keys", "guide", "cautions", "about"),
    ("quit",),
)
# The buttons beside the scan field, from the left.
BAR = ("receive", "assay", "work")
# Off while no book lies open.
NEEDS_A_BOOK = (
    "scales",
    "check_scale",
    "simulated_scale",
    "import",
    "receive",
    "start",
    "write_out",
    "back_up",
    "check",
    "work_out",
    "trace",
    "print_tag",
    "back",
    "find",
    "guide",
    "work",
    "terms",
    "ship",
    "shipments",
    "settle",
    "weigh",
    "assay",
    "move",
    "divide",
    "leave",
    "photograph",
    "seal",
    "strike",
    "strike_last",
    "prices",
    "worth",
)

# Keys that no action stands for; shown in the list of keys.
MORE_KEYS = (
    ("Ctrl+1 … Ctrl+6", "The screens of the rail, from the top"),
    ("Down from the scan field", "Into the table"),
    ("Enter in the scan field", "Go to the thing scanned"),
    ("Escape in the scan field", "Empty it"),
    ("Alt and a letter", "Begin a work, or choose its process, by the underlined letter"),
    ("Enter in a work", "On to the next weight; from the empty scan field to what was added"),
    ("F2 in a line of a work", "Unfold it: form, place, tag, note; a part of an item"),
    ("Ctrl+Delete in a line of a work or a settlement", "Take the line out"),
    ("Ctrl+Enter in a work", "Record it"),
    ("Escape in a work", "Leave it; what stands there is kept"),
    ("Ctrl+S in a trace", "Save it as a picture or PDF"),
    ("Ctrl+C in a table", "Copy the chosen rows"),
    ("Enter in a form", "On to the next field; in the last one, record it"),
    ("Ctrl+Enter in a form", "Record it"),
    ("Escape in a form", "Leave it without recording"),
)


class Commands:
    """The actions of the window, by name."""

    def __init__(self, window: QWidget) -> None:
        self._actions: dict[str, QAction] = {}
        for command in COMMANDS:
            action = QAction(command.words, window)
            if command.keys:
                action.setShortcut(QKeySequence(command.keys))
            told = f" ({command.keys})" if command.keys else ""
            action.setToolTip(f"{command.tip}{told}")
            window.addAction(action)
            self._actions[command.name] = action

    def __getitem__(self, name: str) -> QAction:
        return self._actions[name]
