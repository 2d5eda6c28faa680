"""People round the courses: how they are named, who can stand in or help, and what is kept about somebody."""
