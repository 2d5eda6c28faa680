"""The run-sheet: the evening fitted to the minute (fitted.py), and its rows (rows.py).

As somebody changed it, as it was kept once the lesson was written up, what stands beside it, and how it is
drawn and printed.
"""
