from django.apps import AppConfig
from django.db.models.signals import post_migrate


class SchoolConfig(AppConfig):
    name = "school"
    verbose_name = "Who and when"

    def ready(self) -> None:
        """Once a `migrate`, when the tables of all apps are there, they are watched for changes."""
        from school.changes import watch_tables

        post_migrate.connect(watch_tables, sender=self)
