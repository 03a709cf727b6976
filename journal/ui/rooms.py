"""Which file holds which screen. Screens are imported when first opened, so that starting stays quick."""

ROOMS = {
    "today": ("journal.ui.screens.today", "TodayScreen"),
    "welcome": ("journal.ui.screens.welcome", "WelcomeScreen"),
    "note": ("journal.ui.screens.note", "NoteScreen"),
    "past note": ("journal.ui.screens.past_note", "PastNoteScreen"),
    "look up": ("journal.ui.screens.look_up", "LookUpScreen"),
    "history": ("journal.ui.screens.history", "HistoryScreen"),
    "plan": ("journal.ui.screens.plan", "PlanScreen"),
    "players": ("journal.ui.screens.players", "PlayersScreen"),
    "help": ("journal.ui.screens.help", "HelpScreen"),
    "cause": ("journal.ui.screens.cause", "CauseScreen"),
    "practise": ("journal.ui.screens.practise", "PractiseScreen"),
    "trial": ("journal.ui.screens.trial", "TrialScreen"),
    "table": ("journal.ui.screens.table", "TableScreen"),
    "progress": ("journal.ui.screens.progress", "ProgressScreen"),
    "compare": ("journal.ui.screens.compare", "CompareScreen"),
    "questions": ("journal.ui.screens.questions", "QuestionsScreen"),
}
"""Name: (module, class)."""
