"""benchcall: spoken workshop readings, heard, settled, recorded, diagnosed and said back.

A reading travels one way, one folder a stage, one frozen value between neighbours:

    audio → hearing → wording → settling → record → diagnosis → speaking
    Utterance  Heard    Statement  Settled     Entry    Finding    Reply

Read ``session.py`` first: it wires the stages in that order and does nothing else.
"""

__version__ = "0.1.0"
