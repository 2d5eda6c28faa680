"""Addresses of signing in, of people, and of the school itself."""

from school.access import page
from school.views import invitations, own, passwords, people, photographs, set_up, signing_in

app_name = "school"
urlpatterns = [
    page("sign-in/", signing_in.sign_in, app=app_name, name="sign-in"),
    page("sign-out/", signing_in.sign_out, app=app_name, name="sign-out"),
    page("password/", signing_in.password, app=app_name, name="password"),
    page("password/forgotten/", passwords.forgotten, app=app_name, name="password-forgotten"),
    page("password/sent/", passwords.sent, app=app_name, name="password-sent"),
    page("password/new/<str:uidb64>/<str:token>/", passwords.new, app=app_name, name="password-new"),
    page("begin/", invitations.begin, app=app_name, name="begin"),
    page("join/<str:secret>/", invitations.join, app=app_name, name="join"),
    page("charts-as/", own.charts_as, app=app_name, name="charts-as"),
    page("photographs/", photographs.my_photographs, app=app_name, name="my-photographs"),
    page("people/", people.people, app=app_name, name="people"),
    page("people/new/", people.person_new, app=app_name, name="person-new"),
    page("people/invite/", invitations.invite_new, app=app_name, name="invite-new"),
    page("people/<int:pk>/invite/", invitations.invite_again, app=app_name, name="invite"),
    page("people/<int:pk>/invitation/", invitations.invitation, app=app_name, name="invitation"),
    page(
        "people/<int:pk>/invitation/withdraw/", invitations.withdraw, app=app_name, name="invitation-withdraw"
    ),
    page("people/<int:pk>/", people.person, app=app_name, name="person"),
    page("people/<int:pk>/edit/", people.person_edit, app=app_name, name="person-edit"),
    page("people/<int:pk>/roles/", people.person_roles, app=app_name, name="person-roles"),
    page("people/<int:pk>/remove/", people.person_remove, app=app_name, name="person-remove"),
    page("people/<int:pk>/photographs/", photographs.photographs, app=app_name, name="photographs"),
    page(
        "people/<int:pk>/one-time-password/",
        people.person_one_time_password,
        app=app_name,
        name="person-one-time-password",
    ),
    page("school/", set_up.set_up, app=app_name, name="set-up"),
    page("school/rooms/new/", set_up.room, app=app_name, name="room-new"),
    page("school/rooms/<int:pk>/", set_up.room, app=app_name, name="room"),
]
