"""The style sheet and the palette that follow from a look, in one place."""

from __future__ import annotations

from dataclasses import fields
from string import Template

from PySide6.QtGui import QColor, QPalette

from vault.screens.look import (
    ANSWER_HEIGHT,
    BUTTON_HEIGHT,
    CARD_RADIUS,
    FIELD_HEIGHT,
    RAIL_WIDTH,
    Look,
    Size,
    mixed,
)

_SHEET = Template("""
QToolTip { background: $card; color: $ink; border: 1px solid $line; padding: 4px 6px; }
QMainWindow, QDialog, #paper { background: $paper; }
QLabel { background: transparent; }
QLabel[kind="soft"] { color: $soft_ink; }
QLabel[kind="attention"] { color: $attention; }
QLabel[kind="fine"] { color: $fine; }

QFrame[kind="card"] { background: $card; border: 1px solid $line; border-radius: ${radius}px; }
QFrame[kind="note"] { background: $band; border: none; border-radius: 6px; }
QFrame[kind="caution"] { background: $card; border: 1px solid $line;
    border-left: 4px solid $attention; border-radius: 6px; border-top-left-radius: 0;
    border-bottom-left-radius: 0; }
QFrame[kind="bubble"] { background: $card; border: 2px solid $accent; border-radius: ${radius}px; }
QFrame[kind="line"] { background: $line; border: none; max-height: 1px; min-height: 1px; }
#top_bar { background: $paper; border-bottom: 1px solid $line; }

#rail { background: $rail; min-width: ${rail_width}px; max-width: ${rail_width}px; }
#rail QLabel { color: $rail_ink; }
#rail QLabel[kind="soft"] { color: $rail_soft; font-size: ${small}px; }

QPushButton { background: $card; color: $ink; border: 1px solid $line; border-radius: 8px;
    padding: 0 16px; min-height: ${button}px; font-weight: bold; }
QPushButton:hover { border-color: $accent; }
QPushButton:focus { border: 2px solid $accent; padding: 0 15px; min-height: ${button_in}px; }
QPushButton:disabled { color: $soft_ink; font-weight: normal; }
QPushButton[kind="first"] { background: $accent; color: $on_accent; border-color: $accent; }
QPushButton[kind="first"]:hover { background: $accent_hover; }
QPushButton[kind="first"]:focus { border: 2px solid $ink; }
QPushButton[kind="first"]:disabled { background: $line; color: $soft_ink; border-color: $line; }
QPushButton[kind="tall"], QPushButton[kind="option"] { min-height: ${tall}px; }
QPushButton[kind="tall"]:focus, QPushButton[kind="option"]:focus { min-height: ${tall_in}px; }
QPushButton[kind="option"]:checked { background: $accent; color: $on_accent;
    border-color: $accent; }
QPushButton[kind="option"]:checked:focus { border: 2px solid $ink; }
QPushButton[kind="big"] { background: $accent; color: $on_accent; border-color: $accent;
    padding: 0 8px; min-height: 54px; }
QPushButton[kind="big"]:hover { background: $accent_hover; }
QPushButton[kind="big"]:focus { border: 3px solid $ink; padding: 0 6px; min-height: 50px; }
QPushButton[kind="big"]:disabled { background: $line; color: $soft_ink; border-color: $line; }
QFrame[kind="finding"] { border: none; border-left: 3px solid $line_strong; border-radius: 0; }
QFrame[kind="finding"]:hover, QFrame[kind="finding"]:focus { background: $band;
    border-left-color: $accent; }
QToolButton[kind="remove"] { background: transparent; color: $soft_ink; border: none;
    border-radius: 8px; min-width: 34px; min-height: 40px; font-size: ${heading}px; }
QToolButton[kind="remove"]:hover { background: $band; color: $attention; }
QPushButton[kind="link"] { background: transparent; border: none; padding: 0; min-height: 0;
    color: $accent; text-align: left; font-weight: normal; }
QPushButton[kind="link"]:hover, QPushButton[kind="link"]:focus { text-decoration: underline; }
QPushButton[kind="link"]:disabled { color: $soft_ink; text-decoration: none; }
QPushButton[kind="alarm"] { background: transparent; border: none; padding: 2px 0; min-height: 0;
    color: $attention; text-align: left; font-weight: normal; }
QPushButton[kind="alarm"]:hover, QPushButton[kind="alarm"]:focus { text-decoration: underline; }

#rail QPushButton { color: $rail_ink; background: transparent; border: none; border-radius: 0;
    border-left: 4px solid transparent; padding: 0 8px 0 16px; min-height: 42px;
    font-size: ${title}px; font-weight: normal; text-align: left; }
#rail QPushButton:hover { background: $rail_chosen; }
#rail QPushButton:checked { background: $rail_chosen; border-left-color: $rail_mark;
    font-weight: bold; }
#rail QPushButton:focus { color: $rail_mark; }
#rail QPushButton:disabled { color: $rail_soft; }

QToolButton[kind="chip"] { background: $card; color: $ink; border: 1px solid $line;
    border-radius: 8px; padding: 5px 10px; font-weight: bold; font-size: ${second}px; }
QToolButton[kind="chip"]:hover { border-color: $accent; }
QToolButton[kind="chip"]:focus { border: 2px solid $accent; padding: 4px 9px; }
QToolButton[kind="chip"]:checked { background: $accent; color: $on_accent; border-color: $accent; }
QToolButton[kind="metal"] { background: transparent; color: $ink; border: none;
    padding: 0 4px; min-height: ${tall}px; min-width: 26px; font-weight: bold; }
QToolButton[kind="metal"]:hover { color: $accent; }
QToolButton[kind="chip"]::menu-indicator, QToolButton[kind="metal"]::menu-indicator {
    image: none; }
QToolButton[kind="fold"] { background: transparent; color: $ink; border: none; padding: 6px 2px;
    font-weight: bold; }
QToolButton[kind="fold"][wants_attention="true"] { color: $attention; }
QToolButton[kind="fold"]:focus { color: $accent; }
QToolButton[kind="plain"] { background: transparent; color: $soft_ink; border: none; padding: 4px; }
QToolButton[kind="plain"]:hover, QToolButton[kind="plain"]:focus { color: $ink; }

QLineEdit, QComboBox, QPlainTextEdit, QTextEdit {
    background: $card; color: $ink; border: 1px solid $line; border-radius: 8px; padding: 6px 10px;
    selection-background-color: $accent; selection-color: $on_accent; }
QAbstractSpinBox QLineEdit, QAbstractSpinBox QLineEdit:focus { background: transparent;
    border: none; border-radius: 0; padding: 0 6px; }
QLineEdit:focus, QComboBox:focus, QPlainTextEdit:focus, QTextEdit:focus {
    border: 2px solid $accent; padding: 5px 9px; }
QLineEdit[kind="field"] { min-height: ${field}px; font-size: ${title}px; }
QPushButton[is_tall="true"] { min-height: ${tall}px; }
QPushButton[is_tall="true"]:focus { min-height: ${tall_in}px; }
QToolButton[is_tall="true"] { min-height: ${tall_chip}px; font-size: ${body}px; }
QPushButton[kind="answer"] { padding: 0 12px; min-height: ${answer}px; font-size: ${second}px; }
QPushButton[kind="answer"]:focus { padding: 0 11px; min-height: ${answer_in}px; }
QLineEdit#scan { min-height: ${button_in}px; font-size: ${body}px; padding: 0 14px; }
QLineEdit#scan:focus { padding: 0 13px; }
QComboBox::drop-down { border: none; width: 24px; }
QComboBox QAbstractItemView { background: $card; color: $ink; border: 1px solid $line;
    selection-background-color: $chosen; selection-color: $ink; }

QAbstractScrollArea { background: transparent; border: none; }
QPlainTextEdit[kind="field"] { background: $card; border: 1px solid $line; border-radius: 8px; }
QPlainTextEdit[kind="field"]:focus { border: 2px solid $accent; }
QTableView, QListView, QTreeView { background: $card; color: $ink; border: none;
    gridline-color: $line; selection-background-color: $chosen; selection-color: $ink;
    outline: none; }
QListView { border: 1px solid $line; border-radius: 8px; }
QListView::item { padding: 6px 8px; }
QListView::item:selected { background: $chosen; color: $ink; }
QHeaderView { background: $card; border: none; }
QHeaderView::section { background: $card; color: $soft_ink; border: none;
    border-bottom: 1px solid $line; padding: 4px 8px; font-size: ${small}px; font-weight: bold; }
QAbstractScrollArea::corner { background: transparent; border: none; }
QTableCornerButton::section { background: $card; border: none; }

QScrollBar:vertical { background: transparent; width: 12px; margin: 0; }
QScrollBar:horizontal { background: transparent; height: 12px; margin: 0; }
QScrollBar::handle { background: $line_strong; border-radius: 4px; margin: 2px; }
QScrollBar::handle:vertical { min-height: 36px; }
QScrollBar::handle:horizontal { min-width: 36px; }
QScrollBar::handle:hover { background: $soft_ink; }
QScrollBar::add-line, QScrollBar::sub-line { width: 0; height: 0; }
QScrollBar::add-page, QScrollBar::sub-page { background: transparent; }

QMenu { background: $card; color: $ink; border: 1px solid $line; padding: 6px 0; }
QMenu::item { padding: 8px 28px 8px 20px; }
QMenu::item:selected { background: $chosen; color: $ink; }
QMenu::item:disabled { color: $soft_ink; }
QMenu::separator { height: 1px; background: $line; margin: 6px 0; }
QMenu::indicator { left: 6px; width: 12px; height: 12px; }
QMenu::indicator:checked { background: $accent; border-radius: 6px; }

QDialogButtonBox { dialogbuttonbox-buttons-have-icons: 0; }
QProgressBar { background: $band; border: none; border-radius: 4px; max-height: 8px;
    min-height: 8px; text-align: center; }
QProgressBar::chunk { background: $accent; border-radius: 4px; }
QSplitter::handle { background: transparent; }
QRadioButton, QCheckBox { spacing: 10px; padding: 5px 0; background: transparent; }
QRadioButton::indicator { width: 12px; height: 12px; border: 2px solid $soft_ink;
    border-radius: 8px; background: $card; }
QRadioButton::indicator:checked { width: 6px; height: 6px; border: 5px solid $accent; }
QCheckBox::indicator { width: 12px; height: 12px; border: 2px solid $soft_ink;
    border-radius: 4px; background: $card; }
QCheckBox::indicator:checked { width: 6px; height: 6px; border: 5px solid $accent; }
QRadioButton:focus, QCheckBox:focus { color: $accent; }
QTabWidget::pane { border: none; border-top: 1px solid $line; }
QTabBar { qproperty-drawBase: 0; }
QTabBar::tab { background: transparent; color: $soft_ink; border: none; padding: 10px 16px;
    border-bottom: 3px solid transparent; font-weight: bold; }
QTabBar::tab:selected { color: $ink; border-bottom-color: $accent; }
QTabBar::tab:hover, QTabBar::tab:focus { color: $accent; }
QGroupBox { border: none; margin-top: 22px; font-weight: bold; }
QGroupBox::title { subcontrol-origin: margin; left: 0; }
""")


def style_sheet(look: Look) -> str:
    """Give the style sheet of a look."""
    colours = {
        one.name: getattr(look, one.name).name()
        for one in fields(look)
        if isinstance(getattr(look, one.name), QColor)
    }
    return _SHEET.substitute(
        colours,
        rail_soft=mixed(look.rail_ink, look.rail, 0.3).name(),
        accent_hover=mixed(look.accent, look.ink, 0.15).name(),
        line_strong=mixed(look.line, look.soft_ink, 0.25).name(),
        radius=CARD_RADIUS,
        rail_width=RAIL_WIDTH,
        button=BUTTON_HEIGHT,
        button_in=BUTTON_HEIGHT - 2,
        field=FIELD_HEIGHT - 14,
        tall=FIELD_HEIGHT - 2,
        tall_in=FIELD_HEIGHT - 4,
        heading=Size.HEADING.value,
        # Qt makes a tool button three pixels higher than its padding and border.
        tall_chip=FIELD_HEIGHT - 15,
        answer=ANSWER_HEIGHT,
        answer_in=ANSWER_HEIGHT - 2,
        small=Size.SMALL.value,
        second=Size.SECOND.value,
        body=Size.BODY.value,
        title=Size.TITLE.value,
    )


def palette(look: Look) -> QPalette:
    """Give the palette of a look, for what the style sheet does not reach."""
    made = QPalette()
    for role, colour in {
        QPalette.ColorRole.Window: look.paper,
        QPalette.ColorRole.WindowText: look.ink,
        QPalette.ColorRole.Base: look.card,
        QPalette.ColorRole.AlternateBase: look.band,
        QPalette.ColorRole.Text: look.ink,
        QPalette.ColorRole.PlaceholderText: look.soft_ink,
        QPalette.ColorRole.Button: look.card,
        QPalette.ColorRole.ButtonText: look.ink,
        QPalette.ColorRole.Highlight: look.accent,
        QPalette.ColorRole.HighlightedText: look.on_accent,
        QPalette.ColorRole.ToolTipBase: look.card,
        QPalette.ColorRole.ToolTipText: look.ink,
        QPalette.ColorRole.Link: look.accent,
    }.items():
        made.setColor(role, colour)
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text):
        made.setColor(QPalette.ColorGroup.Disabled, role, look.soft_ink)
    return made
