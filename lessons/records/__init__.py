"""What was really taught: the form of one lesson, its page, and what a record said before a change."""
