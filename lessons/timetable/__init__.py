"""When and where lessons are: what is taken then, and what follows from a change, said before it is made."""
