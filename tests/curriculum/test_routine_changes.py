"""Changes of a routine undone, overtaken by another writer, refused; and routines that a change of something
else breaks."""

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from curriculum.models import HoldChange, Routine
from curriculum.routine_writing import change_row, create_routine, remove_routine
from lessons.models import Milestone
from tests.curriculum.built import build, names, said
from tests.factories import CourseFactory, FigureFactory, LevelFactory, PassageFactory

pytestmark = pytest.mark.django_db


class TestUndo:
    def undo(self, client, routine):
        routine.refresh_from_db()
        address = reverse("curriculum:routine-undo", args=[routine.pk])
        return client.post(address, {"version": routine.version, "at": 0}, follow=True)

    def test_each_undo_goes_one_change_further_back(self, as_director, send, routine):
        send("out", at=3)
        send("out", at=2)
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk"]
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk", "chasse"]
        assert said(self.undo(as_director, routine)) == ["There is nothing left to undo. Nothing was undone."]

    def test_a_change_after_an_undo_is_the_first_to_be_undone(self, as_director, send, routine, ways):
        send("out", at=3)
        self.undo(as_director, routine)
        send("add", at=3, passages=ways["change"].pk)
        self.undo(as_director, routine)
        assert names(routine) == ["change", "whisk", "chasse"]

    def test_the_history_says_who_did_what_and_brings_any_version_back(self, as_director, send, routine):
        send("out", at=3)
        send("earlier", at=2)
        history = reverse("curriculum:routine-history", args=[routine.pk])
        page = as_director.get(history)
        assert [entry.changes for entry in page.context["page"].entries] == [
            ("whisk moved from place 2 to place 1.",),
            ("chasse was taken out of place 3.",),
            (),
        ]
        assert "Hester Quayle" in page.content.decode()
        routine.refresh_from_db()
        back = reverse("curriculum:routine-restore", args=[routine.pk, 1])
        as_director.post(back, {"version": routine.version})
        assert names(routine) == ["change", "whisk", "chasse"]

    @pytest.mark.parametrize("changes", [2, 20])
    def test_the_history_costs_the_same_however_often_it_was_changed(
        self, as_director, send, routine, changes, django_assert_num_queries
    ):
        for _ in range(changes):
            send("earlier", at=3)
        with django_assert_num_queries(6):
            as_director.get(reverse("curriculum:routine-history", args=[routine.pk]))

    def test_what_is_gone_meanwhile_is_named(self, as_director, send, routine, ways):
        send("out", at=3)
        ways["chasse"].figure.delete()
        answer = self.undo(as_director, routine)
        assert "chasse is gone." in said(answer)
        assert names(routine) == ["change", "whisk"]


class TestTwoWriters:
    def test_the_second_is_shown_what_changed_and_loses_nothing(
        self, as_director, send, routine, instructor, ways
    ):
        seen = routine.version
        change_row(routine=routine, version=seen, by=instructor, change=lambda row: row[:2])
        answer = send("add", at=1, passages=ways["change"].pk, version=seen)
        assert answer.status_code == 409
        page = answer.content.decode()
        assert "Somebody else changed this routine while you had it open." in page
        assert "Tobin Marl: chasse was taken out of place 3." in page
        assert "You wanted to put in change behind place 1." in page
        assert names(routine) == ["change", "whisk"]
        again = dict(answer.context["wanted"].again)
        send(**again)
        assert names(routine) == ["change", "change", "whisk"]

    def test_who_overtook_themselves_reads_that_it_was_they(self, as_director, send, routine):
        """In another window, or on a page gone back to: nobody else is to be blamed."""
        send("out", at=3)
        page = send("out", at=1, version=1).content.decode()
        assert "You changed this routine since, in another window or before you went back." in page
        assert "You: chasse was taken out of place 3." in page
        assert "Somebody else" not in page
        undo = reverse("curriculum:routine-undo", args=[routine.pk])
        (refused,) = said(as_director.post(undo, {"version": 1, "at": 0}, follow=True))
        assert refused.startswith(f"You changed {routine.name} since, in another window")
        assert refused.endswith("Nothing was undone.")

    def test_one_of_two_being_somebody_else_it_is_said_so(
        self, as_director, send, routine, instructor, director
    ):
        change_row(routine=routine, version=1, by=instructor, change=lambda row: row[:2])
        change_row(routine=routine, version=2, by=director, change=lambda row: row[:1])
        page = send("out", at=1, version=1).content.decode()
        assert "Somebody else changed this routine while you had it open." in page

    def test_the_answer_to_a_script_is_put_into_the_page(self, as_director, routine, instructor, ways):
        change_row(routine=routine, version=1, by=instructor, change=lambda row: row[:2])
        address = reverse("curriculum:routine-change", args=[routine.pk])
        answer = as_director.post(
            address, {"do": "out", "at": 1, "version": 1}, headers={"hx-request": "true"}
        )
        assert answer.status_code == 200
        assert "You wanted to take out what stands at place 1." in answer.content.decode()

    def test_a_name_written_over_another_is_shown_first(self, as_director, routine, instructor):
        change_row(routine=routine, version=1, by=instructor, change=lambda row: row[:2])
        address = reverse("curriculum:routine-edit", args=[routine.pk])
        data = {"name": "the long side", "note": "", "continues": "", "version": 1}
        answer = as_director.post(address, data)
        assert answer.status_code == 409
        assert 'value="the long side"' in answer.content.decode()
        as_director.post(address, data | {"version": answer.context["form"]["version"].value()})
        routine.refresh_from_db()
        assert routine.name == "the long side"


class TestWrongInput:
    def test_a_routine_has_an_end(self, send, routine, director, ways):
        key = ways["change"].pk
        change_row(routine=routine, version=1, by=director, change=lambda row: (key,) * 1000)
        answer = send("add", at=1000, passages=key)
        assert said(answer) == ["A routine has at most 1,000 figures."]
        assert routine.items.count() == 1000

    def test_a_figure_of_another_dance(self, send, routine):
        other = PassageFactory(figure=FigureFactory(name="fan", level=LevelFactory(dance__name="cha-cha")))
        answer = send("add", at=1, passages=other.pk)
        assert said(answer) == ["fan is a figure of cha-cha, not of waltz."]
        assert len(names(routine)) == 3

    def test_a_figure_deleted_meanwhile(self, send, routine, ways):
        key = ways["wing"].pk
        ways["wing"].figure.delete()
        answer = send("add", at=1, passages=key)
        assert said(answer) == ["That figure, or that way through it, is not there any more. Choose again."]

    @pytest.mark.parametrize(
        ("fields", "sentence"),
        [
            ({"do": "out", "at": 9}, "There is no such place in this routine any more."),
            ({"do": "out", "at": 0}, "There is no such place in this routine any more."),
            ({"do": "add", "at": 1}, "Choose a figure first."),
            ({"do": "add", "at": 1, "passages": "x"}, "That figure is not there any more. Choose again."),
            (
                {"do": "add", "at": 1, "passages": "9" * 30},
                "That figure is not there any more. Choose again.",
            ),
            ({"do": "move", "at": 1, "to": ""}, "Write the number of a place."),
            ({"do": "move", "at": 1, "to": "first"}, "Write the number of a place."),
            ({"do": "move", "at": 1, "to": 0}, "The first place is 1."),
            ({"do": "fly", "at": 1}, "This is not among the choices. Choose again."),
        ],
    )
    def test_whatever_else_is_sent_gets_a_sentence(self, send, routine, fields, sentence):
        assert said(send(**fields)) == [sentence]
        assert names(routine) == ["change", "whisk", "chasse"]

    @pytest.mark.parametrize(
        ("asked", "field", "sentence"),
        [
            ({"tempo": "fast"}, "tempo", "This is not a number."),
            ({"tempo": "3"}, "tempo", "Write 5 or more."),
            ({"length": "2:75"}, "length", "Write a length as minutes and seconds, like 2:45."),
            ({"length": "50:00"}, "length", "A piece lasts at most 30 minutes."),
        ],
    )
    def test_an_impossible_tempo_or_length_is_said_at_its_field(
        self, as_director, routine, asked, field, sentence
    ):
        page = build(as_director, routine, **asked)
        assert page.context["look"].form.errors[field] == [sentence]
        assert sentence in page.content.decode()

    def test_a_second_routine_of_a_name(self, as_director, routine, level):
        address = reverse("curriculum:routine-new", args=[level.pk])
        page = as_director.post(address, {"name": "the side", "note": "n", "continues": ""})
        assert page.context["form"].errors["name"] == ["Beginners has a routine called the side already."]

    def test_a_routine_never_goes_on_from_itself(self, as_director, routine, level, director):
        upper = create_routine(level=level, name="upper", by=director, continues=routine)
        address = reverse("curriculum:routine-edit", args=[routine.pk])
        page = as_director.post(
            address, {"name": "the side", "note": "", "continues": upper.pk, "version": routine.version}
        )
        assert page.context["form"].errors["continues"] == ["Then it would go on from itself."]


class TestBeginningAndEnding:
    def test_a_new_routine_leads_to_its_builder(self, as_director, level):
        address = reverse("curriculum:routine-new", args=[level.pk])
        answer = as_director.post(address, {"name": "the other side", "note": "", "continues": ""})
        made = Routine.objects.get(name="the other side")
        assert answer.url == reverse("curriculum:routine-build", args=[made.pk])

    def test_one_that_a_course_dances_stays(self, as_director, routine, level):
        CourseFactory(level=level, routine=routine, name="Tuesdays")
        answer = as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]), follow=True)
        assert said(answer) == ["Tuesdays dances it, so it stays."]
        assert Routine.objects.filter(pk=routine.pk).exists()

    def test_one_that_another_goes_on_from_stays(self, as_director, routine, level, director):
        create_routine(level=level, name="upper", by=director, continues=routine)
        answer = as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]), follow=True)
        assert said(answer) == ["upper goes on from it, so it stays."]

    def test_any_other_goes_with_its_history(self, as_director, send, routine):
        send("out", at=1)
        as_director.post(reverse("curriculum:routine-remove", args=[routine.pk]))
        assert not Routine.objects.filter(pk=routine.pk).exists()

    def test_removal_asks_every_kind_of_row_that_names_a_routine(self, routine, level):
        course = CourseFactory(level=level)
        Milestone.objects.create(course=course, name="the party", day="2026-02-03", routine=routine)
        with pytest.raises(ValidationError, match="the party"):
            remove_routine(routine)


class TestRecheck:
    def test_a_changed_way_says_which_routine_no_longer_connects(self, as_director, routine, ways, promenade):
        address = reverse("curriculum:passages", args=[ways["change"].figure_id])
        way = ways["change"]
        data = {
            "version": way.figure.version,
            "way-TOTAL_FORMS": 1,
            "way-INITIAL_FORMS": 1,
            "way-0-pk": way.pk,
            "way-0-entry_hold": way.entry_hold_id,
            "way-0-exit_hold": promenade.pk,
        }
        answer = as_director.post(address, data, follow=True)
        assert said(answer) == [
            "Saved.",
            "the side no longer connects: Change leaves you in promenade, whisk starts closed.",
        ]

    def test_a_free_change_taken_away_too(self, as_director, routine, ways, closed, promenade):
        HoldChange.objects.create(hold=closed, into=promenade)
        ways["whisk"].exit_hold = closed
        ways["whisk"].save()
        address = reverse("curriculum:hold-edit", args=[closed.pk])
        stands = as_director.get(address).context["form"].initial | {"turns_into": []}
        answer = as_director.post(address, stands, follow=True)
        assert any("the side no longer connects" in sentence for sentence in said(answer))
