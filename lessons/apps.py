from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "lessons"
    verbose_name = "What is taught when"

    def ready(self) -> None:
        """Tell the curriculum, which knows no courses, which levels are open to a student and where a figure
        is taught."""
        from curriculum.access import level_readers
        from curriculum.hooks import figure_notes
        from lessons.access import levels_open_to
        from lessons.figure_note import taught_this_term
        from lessons.own_words import mine

        if levels_open_to not in level_readers:
            level_readers.append(levels_open_to)
        for write in (mine, taught_this_term):
            if write not in figure_notes:
                figure_notes.append(write)
