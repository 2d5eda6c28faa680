from django.apps import AppConfig
from django.db.models.signals import post_migrate


class SchoolConfig(AppConfig):
    name = "school"
    verbose_name = "Who and when"

    def ready(self) -> None:
        """Once a `migrate`, when the tables of all apps are there, they are watched for changes. A person's
        page says what they say of photographs."""
        from school.changes import watch_tables
        from school.hooks import person_notes
        from school.photographs import photographs_note

        if photographs_note not in person_notes:
            person_notes.append(photographs_note)
        post_migrate.connect(watch_tables, sender=self)
