"""The main window: the views row, the Line, the canvas, parts, details, findings and limits, wired to one document.

The window holds no plant knowledge: gestures and typed lines become edits of the document, and everything shown
follows the document's one signal. Nothing here opens a dialog but the system's own file and print choosers.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import QPointF, QSettings, QSize, Qt
from PySide6.QtGui import QCloseEvent, QKeyEvent
from PySide6.QtWidgets import QDockWidget, QMainWindow, QStackedWidget, QToolBar, QVBoxLayout, QWidget

from gui.actions import build_menus
from gui.boards import Boards
from gui.canvas.judging import Judged
from gui.deeds import deeds
from gui.document import Document, Notice
from gui.fault_work import FaultWork
from gui.file_state import FileState
from gui.filework import FileWork
from gui.finding_work import FindingWork
from gui.head_bar import HeadBar
from gui.here_menu import Here
from gui.line_control import LineControl
from gui.live_findings import live_findings
from gui.panels.details import DetailsPanel
from gui.panels.findings import FindingsPanel
from gui.panels.gauge_data import GaugeData, gauges
from gui.panels.gauge_live import with_drag, with_line
from gui.panels.limits import LimitsStrip
from gui.panels.line_edit import LineEdit, Readback
from gui.panels.line_preview import LinePreview
from gui.panels.notice import NoticeBar
from gui.panels.parts import PartsPanel
from gui.panels.start import StartPage
from gui.pick_work import PickWork
from gui.place_choice import PlaceChoice
from gui.planning_work import PlanWork
from gui.regions import Regions
from gui.row_work import RowWork
from gui.session import ENCLOSURE, Session
from gui.side_pages import SidePages
from gui.theme import DAY, NIGHT, Tokens, palette, style_sheet
from gui.trace_control import TraceControl
from gui.trace_docks import TraceDocks
from gui.views.preview import rows_of
from gui.wayfinding import Wayfinding
from model.line.readback import Reading
from model.rules.run import RULES
from model.templates import TEMPLATES
from render.refs import split_ref


class MainWindow(QMainWindow):
    """One window on one document."""

    def __init__(self, document: Document, settings: QSettings, today: Callable[[], str]) -> None:
        super().__init__()
        self.document = document
        self.settings = settings
        self.today = today
        self.session = Session(document)
        self.tokens: Tokens = DAY
        self.large = False
        self._gauges: list[GaugeData] = []
        self.setObjectName("glasswright")
        self.setWindowTitle("Glasswright")
        self.resize(1600, 1000)
        self._make_widgets()
        self._make_bars()
        self._make_docks()
        self.files = FileWork(self)
        self.way = Wayfinding(self)
        self.fault = FaultWork(self)
        self.pick_work = PickWork(self)
        self.finding_work = FindingWork(self)
        self.planning = PlanWork(self)
        self.rows = RowWork(self)
        self.body_column.addWidget(self.planning.panel)
        self.actions_by_key = build_menus(self, deeds(self))
        self.regions = Regions(self)
        self.file_state = FileState(self)
        self.state_label = self.file_state.label
        self.places = PlaceChoice(document, self.session, self.at_chip)
        self._connect()
        self.trace_docks = TraceDocks(self)
        self.apply_tokens()
        self._show_start(not document.is_open)
        self.file_state.refresh()

    # -- building ------------------------------------------------------------------------------------------------

    def _make_widgets(self) -> None:
        self.boards = Boards(self.document, self.session)
        self.line, self.readback = LineEdit(), Readback()
        self.notice = NoticeBar()
        self.control = LineControl(self.document, self.session, self.line, self.readback, self.notice.tell)
        self.trace = TraceControl(self.document, self.session, self.boards.trace, self.notice.tell)
        self.parts, self.details = PartsPanel(), DetailsPanel()
        self.line_preview = LinePreview()
        self.beside = QStackedWidget()
        self.beside.addWidget(self.details)
        self.beside.addWidget(self.line_preview)
        self.findings = FindingsPanel(checks=len(RULES))
        self.findings.set_signer(self.control.signer)
        self.limits = LimitsStrip()
        self.start = StartPage(tuple(TEMPLATES))
        self.pages = QStackedWidget()
        self.pages.addWidget(self.start)
        self.pages.addWidget(self.boards.stack)
        self.side = SidePages(
            self.pages,
            self.document,
            self.session,
            self._leave_side_page,
            lambda words: self.notice.tell(Notice("note", words)),
        )
        body = QWidget()
        body.setObjectName("body")
        self.body_column = QVBoxLayout(body)
        self.body_column.setContentsMargins(0, 0, 0, 0)
        self.body_column.setSpacing(0)
        self.body_column.addWidget(self.pages, 1)
        self.setCentralWidget(body)
        for panel in (self.parts, self.details, self.findings):
            panel.follow(self.document)

    def _bar(self, name: str, area: Qt.ToolBarArea, content: QWidget) -> QToolBar:
        """A fixed bar across the window that holds one widget, above or below the docks."""
        bar = QToolBar(name)
        bar.setObjectName(f"bar{name}")
        bar.setMovable(False)
        bar.setFloatable(False)
        bar.toggleViewAction().setVisible(False)
        bar.addWidget(content)
        self.addToolBar(area, bar)
        return bar

    def _make_bars(self) -> None:
        self.head = HeadBar(self.session.view, self.line, self.readback, self.notice)
        self.tabs, self.at_chip = self.head.tabs, self.head.at_chip
        self.undo_button, self.redo_button = self.head.undo_button, self.head.redo_button
        self.sheet_button, self.night_button = self.head.sheet_button, self.head.night_button
        self.head_bar = self._bar("Head", Qt.ToolBarArea.TopToolBarArea, self.head)
        self.limits_bar = self._bar("Limits", Qt.ToolBarArea.BottomToolBarArea, self.limits)

    def _make_docks(self) -> None:
        self.docks: dict[str, QDockWidget] = {}
        for title, widget, area in (
            ("Parts", self.parts, Qt.DockWidgetArea.LeftDockWidgetArea),
            ("Details", self.beside, Qt.DockWidgetArea.RightDockWidgetArea),
            ("Findings", self.findings, Qt.DockWidgetArea.RightDockWidgetArea),
        ):
            dock = QDockWidget(title, self)
            dock.setObjectName(f"dock {title}")
            dock.setTitleBarWidget(QWidget())
            dock.setWidget(widget)
            self.addDockWidget(area, dock)
            self.docks[title] = dock
        self.resizeDocks([self.docks["Parts"], self.docks["Details"]], [256, 360], Qt.Orientation.Horizontal)
        self.setCorner(Qt.Corner.BottomLeftCorner, Qt.DockWidgetArea.LeftDockWidgetArea)

    def _connect(self) -> None:
        document, session = self.document, self.session
        self.pages.currentChanged.connect(lambda _index: self.show_docks(self.actions_by_key["docks"].isChecked()))
        document.noticed.connect(self.notice.tell)
        document.opened.connect(self._opened)
        document.changed.connect(lambda changes: self._refresh_gauges() if not changes.only("tickets") else None)
        session.place_changed.connect(self._place_changed)
        session.view_changed.connect(self.tabs.setCurrentIndex)
        session.pick_changed.connect(self._pick_changed)
        self.tabs.currentChanged.connect(session.show_view)
        self.undo_button.clicked.connect(self.undo)
        self.redo_button.clicked.connect(self.redo)
        self.sheet_button.clicked.connect(self.files.choose_sheet)
        self.night_button.toggled.connect(self.set_night)
        self.parts.picked.connect(lambda refs: session.set_pick(refs))
        self.parts.opened_part.connect(self.way.open_part)
        self.details.edit.connect(lambda edit: document.do(edit))
        self.details.bend_picked.connect(self._bend_picked)
        self.details.asked.connect(self.way.open_part)
        self.findings.goto.connect(self.finding_work.go_to)
        self.findings.cure_asked.connect(self.finding_work.do_cure)
        self.findings.accept_asked.connect(self.finding_work.accept)
        self.findings.withdrawn.connect(self.finding_work.withdraw)
        self.limits.asked.connect(self.way.go_to_ref)
        self.boards.tools.live.connect(self._live)
        self.boards.join_tools.line = self.control
        self.here = Here(document, session, self.boards, self.control.say)
        self.parts.asked_here.connect(lambda ref, point: self.here.open_for([ref], point))
        self.boards.form_changed.connect(self._form_changed)
        self.boards.set_form(str(self.settings.value("splices", "bundled")))
        self.control.previewed.connect(self._previewed)
        self.line_preview.outage_asked.connect(self.control.ask_outage)
        self.control.answered.connect(self.way.take_answer)
        self.boards.trace.answer.print_asked.connect(self.fault.print)
        self.trace.inside_asked.connect(self.way.show_inside)
        self.trace.suspects_changed.connect(self.way.light_suspects)
        self.trace.suspects_changed.connect(self._show_gauges)
        session.view_changed.connect(lambda _index: self._show_gauges())
        self.start.template_asked.connect(self.files.new_from)
        self.start.open_asked.connect(self.files.choose_open)
        self.start.empty_asked.connect(self.files.new_empty)
        self.start.recent_asked.connect(lambda path: self.files.open_path(Path(path)))
        self.start.look_for_asked.connect(lambda _path: self.files.choose_open())
        self.start.recovery_answered.connect(self.files.answer_recovery)
        self.notice.left.connect(lambda: self.boards.current.view.setFocus())
        self.line.dropped.connect(self._line_dropped)

    # -- what is shown -------------------------------------------------------------------------------------------

    def apply_tokens(self) -> None:
        """Take the present colours and size everywhere."""
        night = self.tokens is NIGHT
        self.setPalette(palette(self.tokens))
        self.setStyleSheet(style_sheet(self.tokens, large=self.large))
        for panel in (
            self.parts,
            self.details,
            self.line_preview,
            self.findings,
            self.limits,
            self.line,
            self.readback,
            self.notice,
            self.start,
            self.side.help,
            self.side.lists,
            self.planning.panel,
        ):
            panel.set_tokens(self.tokens, self.large)
        self.boards.set_tokens(self.tokens, night, self.large)

    def set_night(self, night: bool) -> None:
        """Day or night."""
        tokens = NIGHT if night else DAY
        if tokens is not self.tokens:
            self.tokens = tokens
            self.night_button.setChecked(night)
            self.actions_by_key["night"].setChecked(night)
            self.night_button.setText("Day" if night else "Night")
            self.apply_tokens()

    def set_large(self, large: bool) -> None:
        """Large lettering or normal."""
        if large != self.large:
            self.large = large
            self.actions_by_key["large"].setChecked(large)
            self.apply_tokens()

    def show_docks(self, shown: bool) -> None:
        """Show or hide parts, details and findings; help and lists have the whole width."""
        for dock in self.docks.values():
            dock.setVisible(shown and self.pages.currentWidget() is self.boards.stack)

    def _leave_side_page(self) -> None:
        if self.document.is_open:
            self.pages.setCurrentWidget(self.boards.stack)
        else:
            self._show_start(True)

    def _show_start(self, shown: bool) -> None:
        self.pages.setCurrentWidget(self.start if shown else self.boards.stack)
        self.limits_bar.setVisible(not shown)
        self.actions_by_key["docks"].setChecked(not shown)
        for dock in self.docks.values():
            dock.setVisible(not shown)
        for widget in (self.tabs, self.undo_button, self.redo_button, self.sheet_button, self.at_chip):
            widget.setVisible(not shown)
        if shown:
            self.files.fill_start()
            self.start.focus_first()

    def _opened(self) -> None:
        self._show_start(False)
        self.session.reset()
        self.places.fill()
        self._refresh_gauges()
        if self.document.recovered is not None:
            self.files.offer_recovery()

    def _place_changed(self) -> None:
        self.places.show_place()
        for panel in (self.parts, self.details, self.findings):
            panel.set_place(self.session.place)
        self._refresh_gauges()

    def _pick_changed(self) -> None:
        self.parts.show_pick(self.session.pick)
        route = self.boards.route_of_pick()
        refs = list(self.session.pick)
        if route is not None and self.session.view == ENCLOSURE and refs and split_ref(refs[-1])[0] == "tube":
            refs[-1] = f"route:{route}"
        self.details.show_pick(refs)

    def _refresh_gauges(self) -> None:
        """Measure the strip anew; what is proposed at the moment is shown on top of it."""
        self._gauges = gauges(self.document, self.session.place) if self.document.is_open else []
        self._show_gauges()

    def _show_gauges(self, judged: Judged | None = None) -> None:
        shown = self.trace.gauges(self._gauges)
        if self.boards.preview is not None:
            shown = with_line(shown, self.boards.preview.gauges)
        if judged is not None:
            shown = with_drag(shown, judged, self.document.plant)
        self.limits.show_gauges(shown)

    # -- doing ---------------------------------------------------------------------------------------------------

    def undo(self) -> None:
        """Take the last step back."""
        self.boards.current.view.cancel_gesture()
        self.document.undo()

    def redo(self) -> None:
        """Do the last undone step again."""
        self.document.redo()

    def _form_changed(self, form: str) -> None:
        self.settings.setValue("splices", form)
        for key, wanted in (("unfold", "opened"), ("rows", "rows")):
            self.actions_by_key[key].setChecked(form == wanted)

    def _bend_picked(self, route: str, support: int) -> None:
        self.session.set_pick([f"route:{route}"])
        self.boards.tools.active = support
        self.boards.tools.refresh()

    def _live(self, judged: Judged | None) -> None:
        held = self.boards.tools.overlay.shown.active
        self.details.show_live({"route": judged.route, "support": held} if judged is not None else None)
        self.findings.show_live(live_findings(self.document, judged.route) if judged is not None else None)
        self._show_gauges(judged)

    def _previewed(self, reading: Reading | None) -> None:
        self.boards.show_preview(reading, self.control.left_out)
        if reading is not None and (reading.rows or reading.dark):
            self.line_preview.show_line(reading, rows_of(self.document.plant, reading))
            self.beside.setCurrentWidget(self.line_preview)
        else:
            self.beside.setCurrentWidget(self.details)
        self._show_gauges()

    def _line_dropped(self) -> None:
        if not self.line.text():
            self.regions.back()

    def tell_notices(self) -> None:
        """The notices so far, the latest last."""
        told = [notice.text for notice in list(self.notice.told)[-3:]]
        self.notice.tell(Notice("note", " | ".join(told) if told else "No notices yet"))

    # -- keys and closing ----------------------------------------------------------------------------------------

    def keyPressEvent(self, event: QKeyEvent) -> None:  # noqa: N802  # Qt's name
        """Esc steps back: the drag, then the lit path, then the pick."""
        if event.key() == Qt.Key.Key_Escape:
            if self.boards.current.view.cancel_gesture():
                return
            if self.session.lit:
                self.session.light("")
            elif self.session.pick:
                self.session.set_pick([])
            return
        super().keyPressEvent(event)

    def closeEvent(self, event: QCloseEvent) -> None:  # noqa: N802  # Qt's name
        """Unsaved work is asked about inside the window; nothing is ever lost."""
        if self.files.may_close():
            self.files.remember()
            self.document.close()
            event.accept()
        else:
            event.ignore()

    def sizeHint(self) -> QSize:  # noqa: N802  # Qt's name
        """A desk's size."""
        return QSize(1600, 1000)

    def canvas_point(self, x_mm: float, y_mm: float) -> QPointF:
        """Viewport pixels of a place on the canvas in sight, for tests and scripts."""
        return QPointF(self.boards.current.view.mapFromScene(QPointF(x_mm, y_mm)))

    def open_path(self, path: Path) -> bool:
        """Open a plant file."""
        return self.files.open_path(path)
