"""The supervisor's pages and the technician's live screen, served on this machine.

``app.py`` puts them together, ``tabs.py`` lists them, ``pages/`` holds one file a page.
"""
