"""Hostile bytes against every place where something from outside comes in.

One file a target: ``check(data)`` turns bytes into an input, tries it and asserts what must hold
of the outcome, not only that nothing was raised; ``seeds()`` gives inputs to begin with.
``test_fuzz.py`` is the short run that repeats; ``run.py`` lets atheris search, guided by coverage.
"""
