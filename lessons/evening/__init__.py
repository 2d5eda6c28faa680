"""One evening: what its lesson holds (tonight.py), who is in the hall, and the pages shown of it.

The run-sheet it is given by has a package of its own, `lessons.run_sheet`.
"""
