"""The assistant live at the bench: microphone, ears, screen, voice and key around one session."""
