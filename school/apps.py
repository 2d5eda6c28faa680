from django.apps import AppConfig


class SchoolConfig(AppConfig):
    name = "school"
    verbose_name = "Who and when"
