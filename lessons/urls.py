from lessons.views import (
    changes,
    closures,
    courses,
    covers,
    device,
    drafts,
    home,
    kinds,
    live,
    moves,
    own_words,
    partners,
    plans,
    practice,
    private,
    records,
    runs,
    shapes,
    sheets,
    students,
    terms,
    tonight,
)
from lessons.views.health import health
from school.access import page

app_name = "lessons"
urlpatterns = [
    # today, for each role
    page("", home.home, app=app_name, name="home"),
    # one lesson: tonight, what we did, changes
    page("lessons/<int:pk>/", tonight.lesson, app=app_name, name="lesson"),
    page("lessons/<int:pk>/sheet/", sheets.sheet_edit, app=app_name, name="sheet-edit"),
    page("lessons/<int:pk>/record/", records.record, app=app_name, name="record"),
    page("lessons/<int:pk>/live/", live.live, app=app_name, name="live"),
    page("lessons/<int:pk>/cancel/", changes.lesson_cancel, app=app_name, name="lesson-cancel"),
    page("lessons/<int:pk>/after-all/", changes.lesson_restore, app=app_name, name="lesson-restore"),
    page("lessons/<int:pk>/move/", changes.lesson_move, app=app_name, name="lesson-move"),
    page("lessons/<int:pk>/give/", changes.lesson_give, app=app_name, name="lesson-give"),
    page("lessons/<int:pk>/kind/", kinds.lesson_kind, app=app_name, name="lesson-kind"),
    page("lessons/<int:pk>/pair/", kinds.teaching_pair, app=app_name, name="teaching-pair"),
    page("lessons/<int:pk>/partners/", partners.partners, app=app_name, name="partners"),
    page("lessons/<int:pk>/partners/apart/", partners.not_paired, app=app_name, name="not-paired"),
    page(
        "lessons/<int:pk>/partners/apart/<int:pair>/end/",
        partners.not_paired_end,
        app=app_name,
        name="not-paired-end",
    ),
    # one lesson for somebody who takes it over
    page("lessons/<int:pk>/cover/", covers.cover_new, app=app_name, name="cover-new"),
    page(
        "lessons/<int:pk>/cover/<int:link>/withdraw/",
        covers.cover_withdraw,
        app=app_name,
        name="cover-withdraw",
    ),
    page("cover/<str:token>/", covers.cover, app=app_name, name="cover"),
    # what a device keeps for a hall without network
    page("service-worker.js", device.service_worker, app=app_name, name="service-worker"),
    page("device/", device.device, app=app_name, name="device"),
    # students
    page("my-level/", students.my_level, app=app_name, name="my-level"),
    page("my-level/<int:pk>/", students.my_level_course, app=app_name, name="my-level-course"),
    page("my-level/<int:pk>/at-home/", practice.at_home, app=app_name, name="at-home"),
    page("my-figures/<int:pk>/mark/", own_words.own_mark, app=app_name, name="own-mark"),
    page("my-figures/<int:pk>/note/", own_words.own_note, app=app_name, name="own-note"),
    # private lessons
    page("private/", private.private_lessons, app=app_name, name="private-lessons"),
    page("private/new/", private.private_new, app=app_name, name="private-new"),
    page("private/<int:pk>/", private.private_lesson, app=app_name, name="private-lesson"),
    page("private/<int:pk>/edit/", private.private_edit, app=app_name, name="private-edit"),
    page("private/<int:pk>/remove/", private.private_remove, app=app_name, name="private-remove"),
    # whether the house stands
    page("health/", health, app=app_name, name="health"),
    # terms and courses
    page("term/", terms.term, app=app_name, name="term"),
    page("term/<int:pk>/", terms.term, app=app_name, name="term"),
    page("term/new/", terms.term_new, app=app_name, name="term-new"),
    page("term/closures/new/", closures.closure_new, app=app_name, name="closure-new"),
    page("term/closures/<int:pk>/", closures.closure_edit, app=app_name, name="closure-edit"),
    page("courses/new/", courses.course_new, app=app_name, name="course-new"),
    page("courses/<int:pk>/", courses.course, app=app_name, name="course"),
    page("courses/<int:pk>/edit/", courses.course_edit, app=app_name, name="course-edit"),
    page("courses/<int:pk>/delete/", courses.course_remove, app=app_name, name="course-remove"),
    page("courses/<int:pk>/enrol/", courses.enrol, app=app_name, name="enrol"),
    page("enrolments/<int:pk>/end/", courses.enrolment_end, app=app_name, name="enrolment-end"),
    # shapes of lessons
    page("shapes/", shapes.shapes, app=app_name, name="shapes"),
    page("shapes/new/", shapes.shape, app=app_name, name="shape-new"),
    page("shapes/<int:pk>/", shapes.shape, app=app_name, name="shape"),
    # plans: the register, and planning runs
    page("courses/<int:pk>/plans/new/", plans.plan_new, app=app_name, name="plan-new"),
    page("plans/<int:pk>/", plans.plan, app=app_name, name="plan"),
    page("plans/<int:pk>/name/", drafts.plan_name, app=app_name, name="plan-name"),
    page("plans/<int:pk>/discard/", drafts.plan_discard, app=app_name, name="plan-discard"),
    page("plans/<int:pk>/figures/", plans.plan_figures, app=app_name, name="plan-figures"),
    page("plans/<int:pk>/figures/<int:figure>/", plans.plan_figure, app=app_name, name="plan-figure"),
    page(
        "plans/<int:pk>/figures/<int:figure>/try/",
        plans.plan_figure_try,
        app=app_name,
        name="plan-figure-try",
    ),
    page(
        "plans/<int:pk>/figures/<int:figure>/places/", moves.plan_places, app=app_name, name="plan-places"
    ),
    page("plans/<int:pk>/move/", moves.plan_move, app=app_name, name="plan-move"),
    page("plans/<int:pk>/take-back/", moves.plan_take_back, app=app_name, name="plan-take-back"),
    page("plans/<int:pk>/now/", moves.plan_now, app=app_name, name="plan-now"),
    page("plans/<int:pk>/changes/", moves.plan_changes, app=app_name, name="plan-changes"),
    page("plans/<int:pk>/publish/", plans.plan_publish, app=app_name, name="plan-publish"),
    page("plans/<int:pk>/run/", runs.plan_run_start, app=app_name, name="plan-run-start"),
    page("runs/<int:pk>/", runs.plan_run, app=app_name, name="plan-run"),
    page("runs/<int:pk>/stop/", runs.plan_run_stop, app=app_name, name="plan-run-stop"),
    page("runs/<int:pk>/answer/", runs.plan_run_answer, app=app_name, name="plan-run-answer"),
]
