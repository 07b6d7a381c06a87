"""Colours, sizes and type of the window, day and night, from one table; and how a sheet's colours look at night.

Fibre colours belong to fibres and are the same day and night. States are told by shape, letter and lightness as well
as colour. Sizes are pixels on an 8 px grid; Large multiplies type by 1.33.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Final

from PySide6.QtGui import QColor, QFont, QFontDatabase, QPalette


@dataclass(frozen=True, slots=True)
class Tokens:
    """One colour per meaning."""

    paper: str
    panel: str
    raised: str
    ink: str
    ink2: str
    line: str
    accent: str
    on_accent: str
    tint: str
    error: str
    error_tint: str
    on_error: str
    warning: str
    on_warning: str
    suspect: str
    trace: str


DAY: Final = Tokens(
    paper="#FDFCF8",
    panel="#F4F3EE",
    raised="#FFFFFF",
    ink="#15202B",
    ink2="#465360",
    line="#C5C3BA",
    accent="#0C4A5B",
    on_accent="#FFFFFF",
    tint="#DCE8EA",
    error="#86160F",
    error_tint="#F6E1DD",
    on_error="#FFFFFF",
    warning="#FBE3A4",
    on_warning="#4A3500",
    suspect="#5B1A57",
    trace="#FFE58A",
)
NIGHT: Final = Tokens(
    paper="#0C1013",
    panel="#12171B",
    raised="#1A2126",
    ink="#EFEADD",
    ink2="#B4B9B6",
    line="#3C474F",
    accent="#A9CBD3",
    on_accent="#0C1013",
    tint="#1F2E34",
    error="#FFA797",
    error_tint="#3A1712",
    on_error="#0C1013",
    warning="#4A3806",
    on_warning="#F6D77F",
    suspect="#D9A8D4",
    trace="#6B5A12",
)

SHEET_AT_NIGHT: Final = {
    "#111111": "#EFEADD",
    "#444444": "#B4B9B6",
    "#6E6E6E": "#8E989C",
    "#B4B4B2": "#56626A",
    "#DCDCDA": "#28323A",
    "#F1F1EF": "#1A2126",
    "#FFFFFF": "#12171B",
    "#3A3A3A": "#9AA3A6",
    "#FFE58A": "#6B5A12",
    DAY.tint: NIGHT.tint,
    DAY.accent: NIGHT.accent,
    DAY.warning: NIGHT.warning,
}
"""The greys of a sheet and what they become on a dark canvas, with the interface's own grounds on it; a colour that is
not here is glass and stays."""

LABEL, BODY, TITLE, LARGE, READING = 12, 14, 16, 20, 28


def night_colour(colour: str) -> str:
    """A sheet's colour on a dark canvas."""
    return SHEET_AT_NIGHT.get(colour.upper(), colour)


@lru_cache(maxsize=1)
def load_fonts() -> tuple[str, ...]:
    """Register the lettering that ships with the program; needs a QGuiApplication. Returns the families found.

    Without it Qt draws text as nothing on a machine that has no font at all.
    """
    families: list[str] = []
    folder = files("render.fonts")
    for name in ("DejaVuSansCondensed.ttf", "DejaVuSansCondensed-Bold.ttf"):
        number = QFontDatabase.addApplicationFontFromData(folder.joinpath(name).read_bytes())
        families += QFontDatabase.applicationFontFamilies(number) if number >= 0 else []
    return tuple(dict.fromkeys(families))


def font(pixels: float, *, bold: bool = False, fixed: bool = False, large: bool = False) -> QFont:
    """The interface font at a size in pixels; ``fixed`` lines up typed text and numbers."""
    chosen = QFont("DejaVu Sans Mono" if fixed else "DejaVu Sans")
    chosen.setStyleHint(QFont.StyleHint.TypeWriter if fixed else QFont.StyleHint.SansSerif)
    chosen.setPixelSize(round(pixels * (1.33 if large else 1.0)))
    chosen.setBold(bold)
    return chosen


def palette(tokens: Tokens) -> QPalette:
    """The Qt palette of a token table."""
    made = QPalette()
    for role, colour in (
        (QPalette.ColorRole.Window, tokens.panel),
        (QPalette.ColorRole.WindowText, tokens.ink),
        (QPalette.ColorRole.Base, tokens.raised),
        (QPalette.ColorRole.AlternateBase, tokens.panel),
        (QPalette.ColorRole.Text, tokens.ink),
        (QPalette.ColorRole.Button, tokens.raised),
        (QPalette.ColorRole.ButtonText, tokens.ink),
        (QPalette.ColorRole.Highlight, tokens.tint),
        (QPalette.ColorRole.HighlightedText, tokens.ink),
        (QPalette.ColorRole.PlaceholderText, tokens.ink2),
        (QPalette.ColorRole.ToolTipBase, tokens.raised),
        (QPalette.ColorRole.ToolTipText, tokens.ink),
        (QPalette.ColorRole.Mid, tokens.line),
    ):
        made.setColor(role, QColor(colour))
    for role in (QPalette.ColorRole.WindowText, QPalette.ColorRole.Text, QPalette.ColorRole.ButtonText):
        made.setColor(QPalette.ColorGroup.Disabled, role, QColor(tokens.ink2))
    return made


def style_sheet(tokens: Tokens, *, large: bool = False) -> str:
    """The one style sheet of the window."""
    k = 1.33 if large else 1.0
    body, label, title = round(BODY * k), round(LABEL * k), round(TITLE * k)
    # With padding and border this makes 40 px, and 48 in Large, which goes with fingers.
    tall = 34 if large else 26
    t = tokens
    return f"""
    * {{ font-size: {body}px; color: {t.ink}; }}
    QMainWindow, QMenuBar, QMenu, QDockWidget, QStatusBar, QWidget#body {{ background: {t.panel}; }}
    QToolBar {{ background: {t.panel}; border: none; spacing: 0; padding: 4px 8px; }}
    QToolBar#barLimits {{ padding: 0; border-top: 1px solid {t.line}; }}
    QMainWindow::separator {{ background: {t.line}; width: 1px; height: 1px; }}
    QComboBox#atChip {{ background: {t.tint}; border-color: {t.tint}; font-weight: bold; }}
    QMenuBar::item {{ padding: 6px 12px; background: transparent; }}
    QMenuBar::item:selected, QMenu::item:selected {{ background: {t.tint}; color: {t.ink}; }}
    QMenu {{ border: 1px solid {t.line}; padding: 4px; }}
    QMenu::item {{ padding: 8px 28px 8px 16px; }}
    QMenu::item:disabled {{ color: {t.ink2}; }}
    QMenu::separator {{ height: 1px; background: {t.line}; margin: 4px 8px; }}
    QPushButton, QToolButton {{ background: {t.raised}; border: 1px solid {t.ink2}; border-radius: 6px;
        padding: 6px 14px; min-height: {tall}px; }}
    QPushButton:hover, QToolButton:hover {{ background: {t.tint}; }}
    QPushButton:focus, QToolButton:focus, QLineEdit:focus, QComboBox:focus {{ border: 2px solid {t.accent}; }}
    QPushButton:disabled, QToolButton:disabled {{ color: {t.ink2}; border-color: {t.line}; }}
    QPushButton:checked, QPushButton[main="true"] {{ background: {t.accent}; color: {t.on_accent};
        border-color: {t.accent}; }}
    QPushButton[main="true"]:focus, QPushButton:checked:focus {{ border: 3px solid {t.ink}; }}
    QPushButton[main="true"]:disabled {{ background: {t.panel}; color: {t.ink2}; border-color: {t.line}; }}
    QLineEdit, QComboBox, QSpinBox, QDoubleSpinBox {{ background: {t.raised}; border: 1px solid {t.ink2};
        border-radius: 6px; padding: 6px 10px; min-height: {tall}px;
        selection-background-color: {t.accent}; selection-color: {t.on_accent};
        placeholder-text-color: {t.ink2}; }}
    QComboBox QAbstractItemView {{ background: {t.raised}; border: 1px solid {t.line};
        selection-background-color: {t.tint}; selection-color: {t.ink}; }}
    QTabBar::tab {{ background: transparent; padding: 14px 20px 12px; border-top: 4px solid transparent; }}
    QTabBar::tab:selected {{ background: {t.paper}; border-top: 4px solid {t.accent}; font-weight: bold; }}
    QTabBar::tab:focus {{ border: 2px solid {t.accent}; }}
    QTreeView, QListView, QTableView {{ background: {t.panel}; border: none; outline: 0;
        alternate-background-color: {t.panel}; gridline-color: {t.line}; }}
    QTreeView::item, QListView::item, QTableView::item {{ min-height: 30px; padding: 1px 4px; }}
    QTreeView::item:selected, QListView::item:selected, QTableView::item:selected {{ background: {t.tint};
        color: {t.ink}; border-left: 3px solid {t.accent}; }}
    QHeaderView::section {{ background: {t.panel}; color: {t.ink2}; border: none; padding: 4px 6px;
        font-size: {label}px; }}
    QDockWidget::title {{ padding: 10px 14px; font-size: {title}px; font-weight: bold; }}
    QLabel[kind="second"] {{ color: {t.ink2}; font-size: {label}px; }}
    QLabel[kind="head"] {{ font-size: {title}px; font-weight: bold; }}
    QFrame[kind="rule"] {{ background: {t.line}; max-height: 1px; border: none; }}
    QScrollBar:vertical {{ background: {t.panel}; width: 12px; }}
    QScrollBar:horizontal {{ background: {t.panel}; height: 12px; }}
    QScrollBar::handle {{ background: {t.line}; border-radius: 5px; min-height: 24px; min-width: 24px; }}
    QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
    QToolTip {{ background: {t.raised}; color: {t.ink}; border: 1px solid {t.ink2}; padding: 4px; }}
    """
