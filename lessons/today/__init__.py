"""The first page of the day, by role (desk.py), and what waits there for a director."""
