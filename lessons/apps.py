from django.apps import AppConfig


class LessonsConfig(AppConfig):
    name = "lessons"
    verbose_name = "What is taught when"

    def ready(self) -> None:
        """Tell the curriculum, which knows no courses, which levels are open to a student, whose part they
        dance, where a figure is taught, and what a course can dance when; and the school what a person
        dances and teaches."""
        from curriculum.access import level_readers
        from curriculum.hooks import figure_notes, roles_danced
        from curriculum.routine_hooks import routine_clocks, routine_notes
        from lessons.access import levels_open_to
        from lessons.courses.course_clock import clocks_of
        from lessons.courses.danceable_bars import danceable_note
        from lessons.courses.figure_note import taught_this_term
        from lessons.people.nobody_in_front import follows_of_leaving
        from lessons.people.person_note import courses_of_person
        from lessons.students.own_words import mine
        from lessons.students.roles_danced import roles_danced_by
        from school.hooks import leaving_notes, person_notes

        if levels_open_to not in level_readers:
            level_readers.append(levels_open_to)
        for write in (mine, taught_this_term):
            if write not in figure_notes:
                figure_notes.append(write)
        if roles_danced_by not in roles_danced:
            roles_danced.append(roles_danced_by)
        if clocks_of not in routine_clocks:
            routine_clocks.append(clocks_of)
        if danceable_note not in routine_notes:
            routine_notes.append(danceable_note)
        if follows_of_leaving not in leaving_notes:
            leaving_notes.append(follows_of_leaving)
        if courses_of_person not in person_notes:
            # What they dance and teach comes first, whatever else is noted of them.
            person_notes.insert(0, courses_of_person)
