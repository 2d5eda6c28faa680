"""A course: what it knows and can dance when, and how it stands against its plan and its parallel courses."""
