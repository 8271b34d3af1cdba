"""The board and its screens, drawn with Textual."""
