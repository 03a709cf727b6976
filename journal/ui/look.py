"""Colours and measures of the screens. Nothing is told by colour alone: states are words or marks too."""

from __future__ import annotations

from textual.theme import Theme

DARK = Theme(
    name="evening",
    primary="#9fc5a8",
    secondary="#c9b88a",
    accent="#e3d5a3",
    foreground="#dfe3dd",
    background="#161a18",
    surface="#1c211f",
    panel="#262c29",
    success="#9fc5a8",
    warning="#e0b461",
    error="#e58f7b",
    dark=True,
    variables={"footer-key-foreground": "#e3d5a3", "text-muted": "#9aa39c"},
)
LIGHT = Theme(
    name="paper",
    primary="#2f6244",
    secondary="#6d5a22",
    accent="#7a4e00",
    foreground="#20241f",
    background="#faf8f2",
    surface="#f2efe6",
    panel="#e6e2d5",
    success="#2f6244",
    warning="#8a5a00",
    error="#a3341f",
    dark=False,
    variables={"text-muted": "#62675f"},
)

CSS = """
Screen { background: $background; color: $foreground; layers: base; }
#body { height: 1fr; }
TitleLine { height: 2; padding: 0 1; border-bottom: solid $panel; }
KeyLine { height: auto; max-height: 4; padding: 0 1; border-top: solid $panel; }
Notice { display: none; height: auto; max-height: 6; padding: 0 1; background: $panel; }
Notice.-shown { display: block; }
OptionList { background: $background; border: none; padding: 0; height: auto; scrollbar-size-vertical: 1; }
OptionList:focus { border: none; background-tint: transparent; }
OptionList > .option-list--option { padding: 0 1; }
OptionList > .option-list--option-highlighted {
    background: $background; color: $foreground; text-style: none;
}
OptionList:focus > .option-list--option-highlighted {
    background: $panel; color: $foreground; text-style: bold;
}
TextArea, Input { background: $surface; border: none; padding: 0 1; }
TextArea:focus, Input:focus { background: $panel; border: none; }
Input { height: 1; }
VerticalScroll { scrollbar-size-vertical: 1; }
VerticalScroll:focus { background-tint: transparent; }
#page {
    link-style: none; link-color: $foreground; link-background: $background; link-style-hover: underline;
}
.heading { color: $primary; text-style: bold; height: 1; padding: 0 1; }
.quiet { color: $text-muted; padding: 0 1; height: auto; }
.block { padding: 0 1; height: auto; margin: 0 0 1 0; }
Dialog { align: center middle; background: $background 60%; }
Dialog > Vertical {
    width: 72; max-width: 96%; height: auto; max-height: 92%;
    border: round $primary; padding: 0 1; background: $background;
}
Dialog Input { margin: 0 0 1 0; }
Dialog OptionList { max-height: 12; }
"""
